// Package mvr holds the scene file of DIN SPEC 15801:2023-12, version 1.6: which units
// hang where, how they are aimed and which slots they listen to, for other
// programs to read. Fill a [Scene] and call [Scene.Append]; [Parse] reads one.
//
// The file is a ZIP archive with everything at its root:
//
//	GeneralSceneDescription.xml   the scene
//	<name>.gdtf                   fixture types (DIN SPEC 15800), by file name
//
// and the scene is
//
//	<GeneralSceneDescription verMajor="1" verMinor="6" provider="" providerVersion="">
//	  <Scene>
//	    <AUXData>
//	      <Class uuid="" name=""/> <Position uuid="" name=""/>
//	    </AUXData>
//	    <Layers>
//	      <Layer uuid="" name="">
//	        <ChildList>
//	          <FocusPoint uuid="" name=""> <Matrix/> <Geometries/> </FocusPoint>
//	          <Fixture uuid="" name="">
//	            <Matrix>{u}{v}{w}{o}</Matrix>
//	            <Classing/> <GDTFSpec/> <GDTFMode/> <Focus/> <Position/> <Function/>
//	            <FixtureID/> <FixtureIDNumeric/> <UnitNumber/>
//	            <Addresses> <Address break="0">1</Address> </Addresses>
//	          </Fixture>
//
// A matrix is three axes and a place, rows of three; x points right, y into
// the stage and z up, lengths are in millimetres. An address counts slots
// through all universes: (universe - 1) · 512 + slot.
//
// Files are written strictly, in one form, and stored without compression or
// dates, so the same scene gives the same bytes. They are read leniently: any
// version, any order, elements of other kinds passed over (and named in
// Skipped), groups dissolved into the places of their members, addresses as
// universe.slot too.
package mvr
