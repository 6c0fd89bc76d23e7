package soundtrack

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

func sample(t *testing.T) *Track {
	g := truth.Groove{Seed: 2, Length: 75 * time.Second, BPM: 104, Drums: true}.Play().Samples
	return analyse(t, mono(append(make([]float32, 2*truth.Rate), g...)))
}

// The shape of the JSON is a promise to other programs.
func TestJSONShape(t *testing.T) {
	track := sample(t)
	var got struct {
		Duration float64
		Moments  []map[string]any
	}
	if err := json.Unmarshal(asJSON(t, track), &got); err != nil {
		t.Fatal(err)
	}
	if got.Duration != 77 || len(got.Moments) != len(track.Moments) {
		t.Fatalf("duration %v, %d of %d moments", got.Duration, len(got.Moments), len(track.Moments))
	}
	for i, m := range got.Moments {
		for _, key := range []string{"time", "end", "strength"} {
			if _, ok := m[key].(float64); !ok {
				t.Fatalf("moment %d: %s is %v", i, key, m[key])
			}
		}
		if m["kind"] != string(track.Moments[i].Kind) || m["why"] == "" {
			t.Fatalf("moment %d: %v", i, m)
		}
	}
	empty := asJSON(t, &Track{})
	if !bytes.Contains(empty, []byte(`"moments":[]`)) {
		t.Errorf("an empty track reads %s", empty)
	}
}

func TestCSV(t *testing.T) {
	track := sample(t)
	var b bytes.Buffer
	if err := track.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll() // all rows as long as the head
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(track.Moments)+1 || rows[0][0] != "time" {
		t.Errorf("%d rows for %d moments, head %v", len(rows), len(track.Moments), rows[0])
	}
}

func TestPicture(t *testing.T) {
	track := sample(t)
	svg, err := track.Picture("a.SVG")
	if err != nil {
		t.Fatal(err)
	}
	again, _ := track.Picture("a.svg")
	if !bytes.Equal(svg, again) {
		t.Error("two pictures of one track differ")
	}
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	data, err := track.Picture("a.png")
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() < int(2*columnWidth) || b.Dy() < int(columnHeight) {
		t.Errorf("picture of %v for two columns", b)
	}
	if _, err := track.Picture("a.bmp"); err == nil {
		t.Error("a .bmp was drawn")
	}
}

// Time runs down a column of 720 pixels a minute from 64 on, so that 15 s lie at
// 244 and 75 s at 244 of the second column; a hit is as long as it is strong.
func TestPicturePlacesMoments(t *testing.T) {
	track := &Track{
		Duration: 90 * time.Second, Overview: Overview{Hop: 10 * time.Millisecond},
		Moments: []Moment{{Kind: Hit, Time: 15 * time.Second, Strength: .5, Sort: "struck low", Rank: 1}, {Kind: Turn, Time: 75 * time.Second, Label: "B"}},
	}
	svg, err := track.Picture("a.svg")
	if err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]string{
		"hit":  `d="M148 243.5L158 243.5L158 244.5L148 244.5Z" fill="#b03c1e"`,
		"rank": `<text x="172" y="248" text-anchor="start" fill="#201e1c" font-size="9">1  struck low</text>`,
		"turn": `d="M302 243.3L394 243.3L394 244.7L302 244.7Z" fill="#96283c"`,
	} {
		if !bytes.Contains(svg, []byte(want)) {
			t.Errorf("no %s %s in\n%s", what, want, svg)
		}
	}
}

func TestNearestAndOf(t *testing.T) {
	track := &Track{Moments: []Moment{{Kind: Hit, Time: time.Second}, {Kind: Beat, Time: 1100 * time.Millisecond}, {Kind: Hit, Time: 2 * time.Second}}}
	if m, ok := track.Nearest(Hit, 1200*time.Millisecond, time.Second); !ok || m.Time != time.Second {
		t.Errorf("nearest %v %v", m, ok)
	}
	if _, ok := track.Nearest(Hit, 5*time.Second, time.Second); ok {
		t.Error("found out of reach")
	}
	if len(track.Of(Hit)) != 2 || len(track.Of(Turn)) != 0 {
		t.Error("of the wrong kind")
	}
}
