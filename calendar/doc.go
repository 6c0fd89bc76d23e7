// Package calendar tells from the text of calendar.yaml what a place does at an
// instant: [Read] reads it with all that is wrong, [Calendar.At] says whether the
// place is closed, starting up, open, closing down or testing itself, and until
// when, and [Calendar.Next] what happens next.
//
// It has no clock and starts nothing: an instant goes in, a state comes out, so the
// same calendar and instant have the same state on every machine.
//
//	             self-test   start-up             close-down
//	closed  ─────▐██▌────────▐▒▒▒▒▒▌              ▐▒▒▒▌───── closed
//	                               ▐▓▓▓ open ▓▓▓▓▌
//	             at          before opening   closes    after closing
//
// Which hours hold on a date: those of an exception on that very date; else of an
// exception on that day of every year; else of a season between two dates; else of
// a season of every year; else those of the week. A span over midnight belongs to
// the day on which it begins, and goes on whatever the next day says. Spans that
// touch or overlap are one opening.
//
// A time of day is met at the first instant at which the clocks of the place show
// it or a later time. So a time that a clock change skips is met when the clocks
// jump, one that comes twice is met the first time, and two times never change
// their order. A span that lies in what was skipped is no opening. All lengths of
// time (start-up, close-down, self-test) are counted in instants and not on the
// clock.
//
// In a break that is too short for both, the close-down look makes room for the
// start-up look, and this one begins at the closing at the earliest. A self-test that
// does not fit between close-down and start-up is left out on that day; one that
// meets hours of the week or of a season so is a fault. On a day that a place
// skipped whole, as Samoa did on 30 December 2011, there is none.
//
// Zones are those of the IANA time zone database: the system's, or else the copy
// that the program carries.
package calendar
