package room_test

import (
	"math"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

// mirrorRoom is a black room with a lamp of 926.1 cd on its axis (TestInverseSquareAndCosine) that hangs 3 m up and points
// at the floor 2 m away on the level, and eyes as high on the other side.
func mirrorRoom(t *testing.T, floor, more string) *room.Transport {
	k := square(t)
	rg := hang(t, "units:\n  - {unit: a, type: square, address: 1, at: [0 m, 2 m, 3 m], aim: [0 m, 0 m, 0 m]}\n", k)
	r := read(t, `
materials:
  nothing: {reflects: 0}
  wet: {reflects: 0, gloss: water}
  varnished: {reflects: 0, gloss: varnish}
  foil: {reflects: 0, gloss: foil}
walls: nothing
ceiling: nothing
floor: `+floor+`
size: [10 m, 10 m, 6 m]
stage front: 5 m
audience: [{name: me, at: [0 m, -2 m, 3 m], looks at: [0 m, 0 m, 0 m]}]
`+more)
	return solve(t, r, rg, room.Fineness{Patches: 100, Elements: 20})
}

// An eye that looks into a glossy floor sees the lamp's image, as far away as the whole way of the light, 2·√(2² + 3²) m, and takes
// I·R/d²: R of Fresnel's equations worked out here by Snell's angles, as the sum over both polarisations (Hecht,
// Optics): rs = -sin(i-t)/sin(i+t), rp = tan(i-t)/tan(i+t).
func TestImageOfALamp(t *testing.T) {
	straight := mirrorRoom(t, "nothing", "")
	if len(straight.Images) != 0 {
		t.Fatalf("a matt floor mirrors: %+v", straight.Images)
	}
	levels := []float32{1}
	without := straight.Reading(straight.Eyes[0], room.Photopic, levels)
	d := 2 * math.Sqrt(13)
	i := math.Asin(2 / math.Sqrt(13))
	for floor, n := range map[string]float64{"wet": 1.333, "varnished": 1.5, "foil": 0} {
		tr := mirrorRoom(t, floor, "")
		share := .78
		if n > 0 {
			r := math.Asin(math.Sin(i) / n)
			s, p := math.Sin(i-r)/math.Sin(i+r), math.Tan(i-r)/math.Tan(i+r)
			share = (s*s + p*p) / 2
		}
		if len(tr.Images) != 1 {
			t.Fatalf("%s: images %+v", floor, tr.Images)
		}
		v := &tr.Images[0]
		if v.In != room.FloorName || math.Abs(float64(v.OffGaze)) > 1e-6 {
			t.Errorf("%s: %+v", floor, v)
		}
		near(t, "how far away", float64(v.Distance), d, 1e-6)
		near(t, "luminance of the image", float64(tr.LensLuminance(v, levels)), share*926.1/.04, 1e-3)
		got := tr.MostRow(0, room.Photopic)[0] - straight.MostRow(0, room.Photopic)[0]
		rest := tr.Reading(tr.Eyes[0], room.Photopic, levels) - without
		want := share * 926.1 / (d * d)
		// What the floor sends on as if it scattered it comes on top: less than a tenth of an image by a metal.
		if got < want*.999 || rest < want*.999 {
			t.Errorf("%s: the image adds %.3f lx and %.3f lx, want %.3f lx", floor, got, rest, want)
		}
		if p := tr.Probe(t.Context(), room.Probe{Sense: room.Photopic, Levels: levels, Normal: &tr.Places[tr.Eyes[0]].Normal}, []room.Point{tr.Places[tr.Eyes[0]].At}); math.Abs(p[0]/tr.Reading(tr.Eyes[0], room.Photopic, levels)-1) > .05 {
			t.Errorf("%s: a probe at the eye reads %v", floor, p)
		}
	}
}

// A thing before the mirror, and one on it, hide the image.
func TestImageHidden(t *testing.T) {
	for name, more := range map[string]string{
		"on the way to the floor": "boxes: {board: {centre: [0 m, 1 m, 1.5 m], size: [1 m, 0.02 m, 1 m], material: nothing}}\n",
		"from the floor":          "boxes: {board: {centre: [0 m, -1 m, 1.5 m], size: [1 m, 0.02 m, 1 m], material: nothing}}\n",
		"on the floor":            "surfaces: {mat: {material: nothing, centre: [0 m, 0 m, 0.01 m], width: 1 m, height: 1 m, faces: [0 m, 0 m, 1 m]}}\n",
	} {
		if tr := mirrorRoom(t, "foil", more); len(tr.Images) != 0 {
			t.Errorf("%s: %+v", name, tr.Images)
		}
	}
}

// What a ray meets in a glossy floor is what its mirror image sees: a ray that comes down at 45° goes up at 45°.
func TestMirroredRay(t *testing.T) {
	tr := mirrorRoom(t, "varnished", "")
	down := room.Point{0, -1, -1}
	l, ok := tr.Trace(room.Point{0, 1, 1}, down)
	if !ok {
		t.Fatal("the ray meets nothing")
	}
	m := tr.Mirrored(l, down)
	near(t, "share", m.Share, light.Gloss{Index: 1.5}.Share(math.Sqrt(.5)), 1e-9)
	next, ok := tr.Trace(m.Point, m.Direction)
	if !ok || tr.Panels[next.Panel].Name != room.AudienceWall {
		t.Fatalf("%+v", next)
	}
	at := m.Point[2] + m.Direction[2]*si.Length(next.Distance)
	near(t, "height on the wall", float64(at), 5, 2e-3)
	wall, _ := tr.Trace(room.Point{0, 0, 3}, room.Point{1, 0, 0})
	if m := tr.Mirrored(wall, room.Point{1, 0, 0}); m.Share != 0 {
		t.Errorf("a matt wall mirrors %v", m.Share)
	}
}

// Foil on all sides keeps the energy: what it does not send on it takes up.
func TestEnergyIsKeptByGloss(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [1 m, -2 m, 2.6 m], aim: [-1 m, 2 m, 0.4 m]}\n", spot(t, "spot", "2 W", "40°"))
	r := read(t, "size: [6 m, 9 m, 3 m]\nstage front: 5 m\nmaterials: {all: {reflects: 10 %, gloss: foil}}\nwalls: all\nfloor: all\nceiling: all\n")
	tr := solve(t, r, rg, room.Fineness{Patches: 1500, Elements: 150})
	_, total, _ := flux(tr, func(*room.Place) light.Spectrum { return light.Spectrum{} })
	near(t, "light in the room", total, 2/(1-.88), .01)
}
