package light

import (
	"testing"

	"lampblack/si"
)

// A paint like another has its glow times what was measured, in the measured shape, with the
// interval as its factor; and never more photons than it takes up, however much was measured.
func TestLike(t *testing.T) {
	orange, err := PaintNamed("fluorescent orange")
	if err != nil {
		t.Fatal(err)
	}
	e, blue := led(t, 385, 12), led(t, 450, 30)
	own := orange.Like("mine", nil, nil, si.Estimate[si.Ratio]{Best: .5, Low: .25, High: .8})
	near(t, "half", float64(own.GlowLuminance(&e)/orange.GlowLuminance(&e)), .5, 1e-9)
	near(t, "within", own.Factor, 2, 1e-9)
	shaped := orange.Like("mine", nil, &blue, si.Estimate[si.Ratio]{})
	was, is := orange.Glow(&e), shaped.Glow(&e)
	near(t, "as many photons", is.photons(), was.photons(), .01*was.photons())
	near(t, "in another colour", float64(is.Mean()), 450, 3)
	near(t, "as uncertain", shaped.Factor, orange.Factor, 1e-9)
	white := Grey(.7)
	for _, p := range []Paint{own, shaped, orange.Like("much", &white, nil, si.Estimate[si.Ratio]{Best: 50, Low: 50, High: 50})} {
		if err := p.Check(); err != nil {
			t.Error(err)
		}
	}
	plain, _ := PaintNamed("brick")
	if p := plain.Like("mine", &white, &blue, si.Estimate[si.Ratio]{Best: 2, Low: 1, High: 3}); p.Fluoresces() || p.Reflectance != white {
		t.Error("brick that is measured glows, or does not reflect as measured")
	}
}
