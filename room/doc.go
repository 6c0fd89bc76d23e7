// Package room holds the room that the show is in: its surfaces, the audience,
// the performers and the painted objects, and the transport of light from the
// rig's drives to all of them. [Read] reads room.yaml, [Room.Solve] solves it for a rig,
// and the [Transport] then answers for any levels: [Transport.Lux], [Transport.Glow],
// [Transport.UVA], a whole [Transport.Picture].
//
// Positions are those of package rig: metres from the middle of the front
// edge of the stage, on the floor; x to the right as the audience sees it, y
// away from the audience, z up. A room of size W, D, H whose stage front is F
// fills x from -W/2 to W/2, y from -F to D-F, z from 0 to H:
//
//	     ┌──────── stage wall ────────┐  y = D-F
//	     │           stage            │
//	left │ - - - - -  0 ─▶ x - - - - -│  stage front, y = 0
//	wall │          audience          │
//	     └─────── audience wall ──────┘  y = -F
//
// # Transport
//
// Light is linear: the room is solved once into a Transport, whose entry for a
// place and a drive is the irradiance in W/m2 at the place when the drive is
// full:
//
//	E(place) = sum over drives of T[place][drive] · level[drive]
//
// Walls change the spectrum of that light. It is carried at a few wavelengths that the colours of the
// room ask for; lux, colour, glow and ultraviolet are then
// products with weights of the emitter in each band (see Sense).
//
// Direct light is summed cell by cell, E = I(θ) cos(incidence)/d². Cells are areas: one that is near
// for its size, or has something before it, is cut into smaller ones. What stands in the way is cut out
// of what is lit exactly, polygon by polygon (pane, clipper), so that the shadow of a
// post is as wide as it is and a joint between drapes lets through what it does. Diffuse inter-reflection
// is radiosity: surfaces scatter what they reflect, and the irradiances of coarse elements solve
//
//	E = E0 + F R E,  F(i,j) the view factor from i to j, R the reflectances,
//
// for each band of wavelengths (see banded), with view factors from the closed form for a
// point and a polygon, scaled until they close (rows sum to 1) and are
// reciprocal, so that no light is made or lost. Each patch then gathers for itself:
//
//	patches, fine (some 4000)     direct light in; what each sees of every element
//	   │ first bounce, patch to element: spots are smaller than elements
//	elements, coarse (some 700)   E = E1 + F R E solved
//	   │ gathered by every patch, near spots patch by patch
//	patches                       all light; eyes and paths gather from them
//
// Walls, floors and drapes are cut along what touches them or comes close, so that no patch or
// element lies on both sides of what divides: behind a sealed drape it is dark. What stands at an angle to a
// panel's edges does not cut it; there a patch is bright and dark at once, and some light leaks.
//
// Glow of painted objects lights the room in the same way, with the spectrum of the paint.
//
// # What is not in it
//
// Gauzes, and the bodies of people and the housings of units, which cast no shadow here. Of haze what is
// scattered twice or more: it dims beams and does not give back to surfaces what it took. Of what glossy surfaces
// mirror, images of images, and the spots that lamps throw by a mirror on matt things: what a mirror takes goes on
// between surfaces as if it were scattered. Lamps in a mirror count at eyes and points ([Transport.Probe] and
// doses, glare and flashes), and pictures show what one mirror shows.
package room
