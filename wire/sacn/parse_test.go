package sacn_test

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/outside"
	"lampblack/wire/sacn"

	"pgregory.net/rapid"
)

// Every constant and count of a data packet, broken one at a time.
func TestParseDataRefuses(t *testing.T) {
	good := outside.Hex(t, dataHex)
	for _, c := range []struct {
		what string
		at   int
		set  []byte
		says string
	}{
		{"preamble", 0, []byte{0, 0x11}, "octets 0 to 15"},
		{"post-amble", 2, []byte{0, 1}, "octets 0 to 15"},
		{"identifier", 12, []byte{'8'}, "octets 0 to 15"},
		{"root length", 17, []byte{0x77}, "root flags and length: got 0x7077, want 0x7076"},
		{"root flags", 16, []byte{0x60}, "root flags and length"},
		{"root vector", 21, []byte{8}, "root vector: got 0x8, want 0x4"},
		{"framing length", 39, []byte{0}, "framing flags and length"},
		{"framing vector", 43, []byte{1}, "framing vector"},
		{"source", 44, bytes.Repeat([]byte{'x'}, 64), "without a NUL"},
		{"source tail", 107, []byte{1}, "after its NUL"},
		{"source UTF-8", 44, []byte{0xFF}, "want UTF-8"},
		{"priority", 108, []byte{201}, "priority: got 201, want 0 to 200"},
		{"synchronization address", 109, []byte{0xFA, 0}, "synchronization address: got 64000"},
		{"options", 112, []byte{1}, "options: got 0x01"},
		{"universe 0", 113, []byte{0, 0}, "universe: got 0, want 1 to 63999"},
		{"universe 64000", 113, []byte{0xFA, 0}, "universe: got 64000"},
		{"DMP length", 116, []byte{0}, "DMP flags and length"},
		{"DMP vector", 117, []byte{1}, "DMP vector"},
		{"address type", 118, []byte{0xA2}, "address and data type"},
		{"first address", 120, []byte{1}, "first property address"},
		{"increment", 122, []byte{2}, "address increment"},
		{"count", 124, []byte{10}, "property value count: got 10, want 9"},
	} {
		b := bytes.Clone(good)
		copy(b[c.at:], c.set)
		_, err := sacn.ParseData(b)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.what, err, c.says)
		}
	}
}

func TestParseRefusesEveryTruncation(t *testing.T) {
	for _, hex := range []string{dataHex, syncHex, discHex} {
		good := outside.Hex(t, hex)
		for n := range len(good) {
			b := good[:n:n]
			_, e1 := sacn.ParseData(b)
			_, e2 := sacn.ParseSync(b)
			_, e3 := sacn.ParseDiscovery(b)
			if e1 == nil || e2 == nil || e3 == nil {
				t.Errorf("%d of %d octets: accepted", n, len(good))
			}
			sacn.KindOf(b)
		}
	}
}

func TestParseOtherKind(t *testing.T) {
	if _, err := sacn.ParseData(outside.Hex(t, syncHex+strings.Repeat("00", 100))); !errors.Is(err, sacn.ErrNot) {
		t.Errorf("a synchronization packet as data: %v, want ErrNot", err)
	}
	if _, err := sacn.ParseSync(outside.Hex(t, discHex)); !errors.Is(err, sacn.ErrNot) {
		t.Errorf("a discovery packet as synchronization: %v, want ErrNot", err)
	}
}

func TestAppendPanicsOnWhatCheckRefuses(t *testing.T) {
	d := eight()
	d.Universe = 0
	defer func() {
		if s, _ := recover().(string); !strings.HasPrefix(s, "sacn: ") {
			t.Errorf("recovered %q, want a panic with the package's name", s)
		}
	}()
	d.Append(nil)
}

func TestCutSource(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"short", "short"},
		{"a\x00b", "a"},
		{strings.Repeat("x", 64), strings.Repeat("x", 63)},
		{strings.Repeat("ä", 32), strings.Repeat("ä", 31)}, // 64 octets; 62 fit whole
		{"\xff!", "\uFFFD!"},
	} {
		if got := sacn.CutSource(c.name); got != c.want {
			t.Errorf("CutSource(%q) = %q, want %q", c.name, got, c.want)
		}
	}
}

func TestDataRoundTrip(t *testing.T) {
	universe := rapid.Uint16Range(1, sacn.MaxUniverse)
	rapid.Check(t, func(t *rapid.T) {
		d := sacn.Data{
			CID:         [16]byte(rapid.SliceOfN(rapid.Byte(), 16, 16).Draw(t, "cid")),
			Source:      sacn.CutSource(rapid.String().Draw(t, "source")),
			Priority:    rapid.ByteRange(0, sacn.MaxPriority).Draw(t, "priority"),
			SyncAddress: rapid.Uint16Range(0, sacn.MaxUniverse).Draw(t, "sync"),
			Sequence:    rapid.Byte().Draw(t, "sequence"),
			Preview:     rapid.Bool().Draw(t, "preview"),
			Terminated:  rapid.Bool().Draw(t, "terminated"),
			ForceSync:   rapid.Bool().Draw(t, "force"),
			Universe:    universe.Draw(t, "universe"),
			Start:       rapid.Byte().Draw(t, "start"),
			Slots:       rapid.SliceOfN(rapid.Byte(), 0, sacn.MaxSlots).Draw(t, "slots"),
		}
		got, err := sacn.ParseData(d.Append(nil))
		if err != nil || !bytes.Equal(got.Slots, d.Slots) {
			t.Fatalf("got %+v, %v", got, err)
		}
		got.Slots, d.Slots = nil, nil
		if !reflect.DeepEqual(got, d) {
			t.Fatalf("got %+v, want %+v", got, d)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, hex := range []string{dataHex, termHex, syncHex, discHex} {
		f.Add(outside.Hex(f, hex))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if d, err := sacn.ParseData(b); err == nil && !bytes.Equal(d.Append(nil), b) {
			t.Errorf("data: % x encodes to % x", b, d.Append(nil))
		}
		if s, err := sacn.ParseSync(b); err == nil && !bytes.Equal(s.Append(nil), b) {
			t.Errorf("synchronization: % x encodes to % x", b, s.Append(nil))
		}
		if d, err := sacn.ParseDiscovery(b); err == nil && !bytes.Equal(d.Append(nil), b) {
			t.Errorf("discovery: % x encodes to % x", b, d.Append(nil))
		}
	})
}

func BenchmarkDataAppend(b *testing.B) {
	d := full()
	buf := make([]byte, 0, 638)
	b.ReportAllocs()
	for b.Loop() {
		buf = d.Append(buf[:0])
	}
}
