// Package gdtf holds the fixture description of DIN SPEC 15800 (GDTF), versions 1.0 to 1.2: what a
// kind of lamp is built of, and what each slot of each of its modes does. [Parse] reads one,
// [FixtureType.Append] writes one.
//
// The file is a ZIP archive with description.xml at its root (pictures and models beside it
// are passed over):
//
//	<GDTF DataVersion="1.2">
//	  <FixtureType Name="" Manufacturer="" FixtureTypeID="">
//	    <AttributeDefinitions>   words that channels use: Dimmer, ColorAdd_UV, Shutter1Strobe
//	    <Wheels>                 also colours that a lamp mixes for a slot value
//	    <PhysicalDescriptions>   emitters with spectra, dimmer profiles, connectors, properties
//	    <Models>                 sizes of parts
//	    <Geometries>             parts within each other; Beam is a light opening
//	    <DMXModes>
//	      <DMXMode Name="" Geometry="">
//	        <DMXChannel Offset="1,2" Geometry="">       one or several slots, for a part
//	          <LogicalChannel Attribute="">
//	            <ChannelFunction DMXFrom="" PhysicalFrom="" PhysicalTo="">   a range of values
//	              <ChannelSet Name="" DMXFrom="">       a part of it with a name
//
// The structs below are the standard's tables: a field, its tag the attribute or element, in the
// order that the schema asks for. Files are written strictly: [FixtureType.Check] names all that
// the schema, or one of the rules that a schema cannot say, would refuse. They are read
// leniently: what cannot be understood is left out, and each doubt is a [Note] with its line.
// What a file does not say stays unknown. The standard's defaults (10000 lm, 1000 W, 25° for a
// beam of which nothing is said) are never put in its place, but for those that say how a file
// is to be read (a range begins at 0, a matrix is that of rest).
package gdtf
