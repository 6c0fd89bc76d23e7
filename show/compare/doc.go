// Package compare holds two shows of the same looks against one another, look by look: the
// same score with another lamp in it, or on another rig in another hall.
//
//	Shows(before, after) ──▶ []Look ──▶ Look.Says   what is lost, won, or stands out, in plain words
//
// The model: of what a look asks to be seen, what came of it before and what comes of it now
// (show.Reached); of the colours that it asks for, how near both come; of every surface and object
// that both rooms know by one name, how bright it is as its mean. Where a look asks for lux somewhere, the
// rest is held against that place, as eyes do; where it asks for none, against the median of all.
//
// Sources: CIE 15 for u'v'. From which change on something is told is this tool's choice.
//
// It does not see: what stands under two names, what moves on its way, haze; and nobody's memory of
// the first night.
package compare
