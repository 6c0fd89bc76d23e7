// Package living is what makes light live between cues: values that move by
// themselves, each a pure function of time, so that any instant may be asked for, in any
// order, and comes out the same.
//
//	[Natural.Level]           a candle, a hearth, leaves, water, a storm sky; each seed its own
//	[Drift], [Among]          slow wandering between two values, or among several
//	[NewFollow], [Follow.At]  the level of a band of the soundtrack, or its spectral centre
//	[EventsOf], [Pulse]       beats, bars and other events, and a rise and fall about each
//	[Shape]                   how fast the sound itself rises and falls at its beats
//
// Everything that is asked for at an instant lies from 0 to 1 and is a share of whatever
// the caller makes of it; times are offsets from the first sample of the soundtrack; rates
// are in hertz. Rise and fall of what follows are the times from 10 to 90 % of a step, those of a
// pulse the whole of it. Nothing of it is kept between calls, and no call at an instant allocates.
//
// Random values come from a number of the caller's, the seed: one for each unit, or for
// each part of a look. Equal seeds move alike, others have nothing to do with one another.
//
// It does not know how bright its light will be. Whether it flashes is found by the checks, as
// for all other light. A natural light on its own stays below three flashes a second at full
// depth on a surface of 200 cd/m2 (natural.go says how that was tried); many units that move
// each by itself, or a unit looked into, are the caller's to bound; so is what follows the
// sound or the beat, as fast as those are.
//
// Live sound takes the place of a file by the interfaces [Beats] and [Loud], which an [Ear] has:
// alone of all here it remembers, and only goes on.
package living
