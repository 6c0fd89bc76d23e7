// Package room holds the room that the show is in: its surfaces, the audience,
// the performers and the painted objects, and the transport of light from the
// rig's drives to all of them.
//
// Light is linear: the room is solved once into a Transport, whose entry for a
// drive and a place is the irradiance in W/m2 at the place when the drive is
// full. The spectrum of that light is the emitter's own (walls that change it
// count by each emitter's effective reflectance), so that lux, colour, glow
// and ultraviolet are products with the emitter's weights.
package room
