package evening

import (
	"encoding/base64"
	"encoding/binary"
	"math"
)

// Stands is a light that stands, of each drive from 0 to 1 in the order of the rig. It is a
// text so that states can be compared: base64 of 32-bit floating-point numbers, the lowest
// byte first, so that the light which a resumed run shows is the one that was frozen to the
// last bit.
type Stands string

// mostDrives bounds the drives of a light in a log, whose lines are of 64 KiB at most: that of
// some twenty full universes.
const mostDrives = 10_000

// Stand is a light as a value; of more drives than a log can hold it is none.
func Stand(levels []float32) Stands {
	if len(levels) > mostDrives {
		return ""
	}
	b := make([]byte, 0, 4*len(levels))
	for _, v := range levels {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(min(max(v, 0), 1)))
	}
	return Stands(base64.RawStdEncoding.EncodeToString(b))
}

// Levels is the light by drive; none where the text is damaged.
func (s Stands) Levels() []float32 {
	b, err := base64.RawStdEncoding.DecodeString(string(s))
	if err != nil || len(b)%4 != 0 || len(b)/4 > mostDrives {
		return nil
	}
	var out []float32
	for ; len(b) > 0; b = b[4:] {
		v := math.Float32frombits(binary.LittleEndian.Uint32(b))
		if !(v >= 0 && v <= 1) {
			return nil
		}
		out = append(out, v)
	}
	return out
}
