package plate

import (
	"image/color"

	"lampblack/plate/drawing"
)

// Colours of plates beside ink and white. Those with names of Okabe and Ito are
// theirs.
var (
	none      color.NRGBA // leaves a part out
	pale      = drawing.Hex(0xdddddd)
	grey      = drawing.Hex(0x666666)
	soft      = drawing.Hex(0x555555)
	vermilion = drawing.Hex(0xd55e00) // light that is on
	purple    = drawing.Hex(0xcc79a7) // painted objects
	brown     = drawing.Hex(0x7a3600) // words on glare
	violet    = drawing.Hex(0x5b3fa0) // ultraviolet
	wayGreen  = drawing.Hex(0x009e73) // where people walk (bluish green of Okabe and Ito)
	wayPale   = drawing.Hex(0xdcefe8)
	amber     = drawing.Hex(0xc79a2e) // light to be seen by
)

// short cuts a name to what a key has room for.
func short(name string) string {
	const room = 34
	if r := []rune(name); len(r) > room {
		return string(r[:room-1]) + "…"
	}
	return name
}
