// Package page reckons what the pages of the book show, and gives it the form
// in which it travels to the browser: [New] makes the [Book] of a show,
// [Book.Contents] is what a page is first sent, [Book.Span] all that stands beside some
// seconds, [Book.Light] and [Book.Room] are the light of a while and of an instant.
//
// A Book is made once for a show. Its answers are pure: the same show, the
// same bytes. Long things travel as columns: Contents holds parallel arrays
// for cues, Span for sound and moments, Light is four bytes for each ribbon and step,
//
//	red green blue level   red green blue level   …   one step, all ribbons
//
// and Room eight little-endian float32 for each place, in the order of
// [Book.Shape]. Times are seconds from the first sample, lengths metres.
//
// All light here is a sum over the rig's drives, because light is linear: a
// ribbon, a patch of wall and a glowing fish each have one vector per drive,
// found once, and the frame's levels choose the mixture. Levels are CIE 1976
// lightness, colours of the screen those of IEC 61966-2-1. What the book shows is
// computed: it does not see haze, people in the way, or what a unit really gives.
package page
