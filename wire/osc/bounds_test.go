package osc_test

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"lampblack/wire/osc"
	"lampblack/wire/outside"
)

// Each type of argument by its letter and octets, as the tables of OSC 1.0,
// "OSC Type Tag String", have them: big-endian, padded with NUL to four.
func TestArguments(t *testing.T) {
	for _, c := range []struct {
		types, octets string
		args          []any
	}{
		{"2c690000", "0000000c", []any{int32(12)}},
		{"2c690000", "80000000", []any{int32(math.MinInt32)}},
		{"2c660000", "3f800000", []any{float32(1)}},
		{"2c730000", "61626300", []any{"abc"}},
		{"2c730000", "6162636400000000", []any{"abcd"}},
		{"2c730000", "00000000", []any{""}},
		{"2c620000", "0000000401020304", []any{[]byte{1, 2, 3, 4}}},
		{"2c620000", "000000050102030405000000", []any{[]byte{1, 2, 3, 4, 5}}},
		{"2c620000", "00000000", []any{[]byte{}}},
		{"2c680000", "8000000000000001", []any{int64(math.MinInt64 + 1)}},
		{"2c740000", "83aa7e8080000000", []any{osc.Time(0x83AA7E80_80000000)}},
		{"2c640000", "3ff8000000000000", []any{1.5}},
		{"2c54464e49000000", "", []any{true, false, nil, osc.Impulse{}}},
		{"2c69547300000000", "000000077800" + "0000", []any{int32(7), true, "x"}},
		{"2c000000", "", nil},
	} {
		want := outside.Hex(t, "2f610000"+c.types+c.octets)
		m := &osc.Message{Address: "/a", Args: c.args}
		if got := m.Append(nil); !bytes.Equal(got, want) {
			t.Errorf("%v: % x, want % x", c.args, got, want)
		}
		p, err := osc.Parse(want)
		if err != nil || !bytes.Equal(p.Append(nil), want) {
			t.Errorf("%v: read %+v, %v", c.args, p, err)
		}
		// Cut by a word, it is refused; so is a word behind it.
		for _, b := range [][]byte{want[:len(want)-4], append(bytes.Clone(want), 0, 0, 0, 0)} {
			if p, err := osc.Parse(b); err == nil {
				t.Errorf("% x reads %+v", b, p)
			}
		}
	}
}

// What an address may hold: printable ASCII but space and "#" (OSC 1.0, "OSC
// Address Spaces"; "," is taken in patterns).
func TestAddresses(t *testing.T) {
	for address, good := range map[string]bool{
		"/": true, "/a/b": true, "/~": true, "/!": true, "/{a,b}/*?[!x-y]": true,
		"": false, "a": false, "/ ": false, "/#": false, "/\x7f": false, "/\x1f": false, "/ä": false, "/a\x00": false,
	} {
		if err := (&osc.Message{Address: address}).Check(); (err == nil) != good {
			t.Errorf("%q: %v", address, err)
		}
	}
	for want, m := range map[string]*osc.Message{
		"message /a: argument 2: got a string with a NUL": {Address: "/a", Args: []any{int32(1), "x\x00"}},
		"message /a: argument 1: got a uint8, want int32": {Address: "/a", Args: []any{byte(1)}},
		"message: address: got \"\", want a leading /":    {},
	} {
		err := m.Check()
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
		func() {
			defer func() {
				if got, _ := recover().(string); got != "osc: "+err.Error() {
					t.Errorf("Append panics with %q", got)
				}
			}()
			m.Append(nil)
		}()
	}
}

// nested is n bundles within each other.
func nested(n int) *osc.Bundle {
	b := &osc.Bundle{Time: osc.Now}
	for range n - 1 {
		b = &osc.Bundle{Time: osc.Now, Elements: []osc.Packet{b}}
	}
	return b
}

// Sixteen bundles within each other are taken, seventeen are not, in either
// direction; the times of inner ones are not before those of outer ones.
func TestNesting(t *testing.T) {
	deep := nested(16)
	b := deep.Append(nil)
	if _, err := osc.Parse(b); err != nil || deep.Check() != nil {
		t.Errorf("sixteen: %v, %v", err, deep.Check())
	}
	inmost := deep
	for len(inmost.Elements) > 0 {
		inmost = inmost.Elements[0].(*osc.Bundle)
	}
	inmost.Elements = []osc.Packet{&osc.Message{Address: "/a"}}
	if _, err := osc.Parse(deep.Append(nil)); err != nil || deep.Check() != nil {
		t.Errorf("a message in the sixteenth: %v, %v", err, deep.Check())
	}
	if err := nested(17).Check(); err == nil || !strings.Contains(err.Error(), "more than 16 within each other") {
		t.Errorf("seventeen: %v", err)
	}
	one := append(outside.Hex(t, "2362756e646c6500 0000000000000001"), 0, 0, byte(len(b)>>8), byte(len(b)))
	if _, err := osc.Parse(append(one, b...)); err == nil || !strings.Contains(err.Error(), "more than 16 within each other") {
		t.Errorf("seventeen, read: %v", err)
	}
	message := &osc.Message{Address: "/a"}
	for want, b := range map[string]*osc.Bundle{
		"": {Time: 5, Elements: []osc.Packet{&osc.Bundle{Time: 5}, &osc.Bundle{Time: 6, Elements: []osc.Packet{message}}}},
		"bundle: element 2: time: got 0x4, want at least the outer 0x5":                      {Time: 5, Elements: []osc.Packet{message, &osc.Bundle{Time: 4}}},
		"bundle: element 1: bundle: element 2: message: address: got \"\", want a leading /": {Elements: []osc.Packet{&osc.Bundle{Elements: []osc.Packet{message, &osc.Message{}}}}},
	} {
		err := b.Check()
		if want == "" && err != nil || want != "" && (err == nil || err.Error() != want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// Sizes in a bundle: a multiple of four, no more than there is.
func TestElementSizes(t *testing.T) {
	const head = "2362756e646c6500 0000000000000001 "
	for hex, says := range map[string]string{
		head + "00000008 2f610000 2c000000":                            "",
		head + "00000008 2f610000 2c000000 00000008 2f620000 2c000000": "",
		head + "00000006 2f610000 2c000000":                            "element 1: size: got 6, want a multiple of 4, at most 8",
		head + "0000000c 2f610000 2c000000":                            "element 1: size: got 12, want a multiple of 4, at most 8",
		head + "fffffffc 2f610000 2c000000":                            "element 1: size: got 4294967292",
		head + "00000008 2f610000 2c000000 00000004":                   "element 2: size: got 4, want a multiple of 4, at most 0",
		head + "00000004 2f610000":                                     "element 1: message \"/a\": types: got 0 octets without a NUL",
		head:                                                           "",
		"2362756e646c6500 00000000":                                    "bundle: time: got 4 octets, want 8",
		"2f610000 2c620000 00000001":                                   "argument 1: blob: length: got 1, want at most 0",
		"2f610000 2c620000":                                            "argument 1: blob: got 0 octets, want its length",
		"2f610000 2c620000 00000001 07000001":                          "padding",
		"2f610000 2c730000 61000001":                                   "padding",
		"2f610000 2c640000 00000000":                                   "type d: got 4 octets, want 8",
	} {
		_, err := osc.Parse(outside.Hex(t, hex))
		if (err == nil) != (says == "") || err != nil && !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q in it", hex, err, says)
		}
	}
}

// Time tags by hand: seconds since 1900 (RFC 5905, figure 4) and 2⁻³² s.
func TestTimeTags(t *testing.T) {
	for _, c := range []struct {
		at   time.Time
		want osc.Time
	}{
		{time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC), 0},
		{time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC), 2_208_988_800 << 32},
		{time.Date(2000, 1, 1, 0, 0, 0, 250_000_000, time.UTC), 3_155_673_600<<32 | 1<<30},
		{time.Date(2036, 2, 7, 6, 28, 15, 0, time.UTC), 0xFFFFFFFF << 32},
	} {
		if got := osc.At(c.at); got != c.want || !got.Time().Equal(c.at) {
			t.Errorf("%v is %#x, which is %v", c.at, uint64(got), got.Time())
		}
	}
}
