// Package measure makes a computed room agree with the real one: [Plan] proposes a
// short list of meter readings worth taking, [Read] reads them back, and [Fit] corrects the
// output of every emitter, with an interval.
//
// The unknowns are the logarithms of output over the fixture file's value, one
// for each emitter of each unit. Before anything is read they spread as the
// file says (its interval is taken for 95 %), in two parts: one that all units
// of a type share, and one of each unit's own. A reading is
//
//	reading = Σ a·exp(unknown) · exp(gain) · (1 + error)
//
// with a computed by package room for the emitters that were on, gain the
// calibration of the meter, common to all it reads, and error of each reading.
// The most likely unknowns are found by weighted least squares (Gauss-Newton;
// the weights are the inverse variances, the interval before is a reading like
// any other). One good reading of a red emitter so narrows all units of its
// type, and no number of readings makes the result better than the meter.
//
// Without a meter, a [Match] finds the ratio of two units' outputs by eye, side by side on
// one sheet: it is a reading of a quotient, ln level = unknown of one - unknown of the other.
//
// readings.yaml:
//
//	meters:
//	  lux: {error: 5 %, calibration: 10 %, smallest: 0.1 lx}
//	readings:
//	  - {unit: top 1, emitter: red, at: backdrop, lux: 34.2 lx}
//	  - {unit: top 2, emitter: red, matches: top 1, at level: 62 % (60 % to 64 %)}
//
// Errors and calibration are standard uncertainties (two of three readings are
// nearer), smallest is the last digit of the display. Readings are taken in
// the dark, one emitter alone at full, after some minutes of warming up: flat
// against the middle of a surface or object, or at a seat toward where it
// looks.
package measure
