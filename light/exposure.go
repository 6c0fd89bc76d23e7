package light

import (
	"time"

	"lampblack/si"
)

// UVAFirst and UVALast bound the band of the UV-A limit for the eye, in nm:
// Directive 2006/25/EC annex I table 1.1, row b.
const (
	UVAFirst = 315
	UVALast  = 400
)

// DailyUVA is the most UV-A, all wavelengths counted alike, that may fall on an
// unprotected eye in a day of 8 h, over 1000 s or more: 10 kJ/m². It does not
// cover everybody: children, eyes without a lens, and people whom medicines
// make sensitive want less.
const DailyUVA = 1e4 // J/m2

// DailyUVASource names who published DailyUVA.
const DailyUVASource = "ICNIRP 2004; Directive 2006/25/EC"

// UVAToStay returns the irradiance that comes to DailyUVA in the time: E = H/t.
// An eye may stay that long where there is no more.
func UVAToStay(stay time.Duration) si.Irradiance {
	return si.Irradiance(DailyUVA / stay.Seconds())
}
