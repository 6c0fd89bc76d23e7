package sacn_test

import (
	"bytes"
	"strings"
	"testing"

	"lampblack/wire/outside"
	"lampblack/wire/sacn"
)

// The octets below follow the tables of ANSI E1.31-2018, clauses 5 to 8, one
// field after the other; they were written before the encoder and tshark
// dissects the data packet as named.
const (
	rootHex = "0010 0000 4153432d45312e3137000000"
	cidHex  = "0a1b2c3d4e5f4678899aabbccddeeff0"
)

var (
	cid       = [16]byte{0x0a, 0x1b, 0x2c, 0x3d, 0x4e, 0x5f, 0x46, 0x78, 0x89, 0x9a, 0xab, 0xbc, 0xcd, 0xde, 0xef, 0xf0}
	sourceHex = "45312e333120636865636b" + strings.Repeat("00", 64-11) // "E1.31 check"
	dataHex   = rootHex + "7076 00000004" + cidHex + "7060 00000002" + sourceHex +
		"64 0000 07 00 0001 7013 02 a1 0000 0001 0009 00 ff8000400a141e28"
	termHex = rootHex + "7076 00000004" + cidHex + "7060 00000002" + sourceHex +
		"64 0000 09 40 0001 7013 02 a1 0000 0001 0009 00 ff8000400a141e28"
	syncHex = rootHex + "7021 00000008" + cidHex + "700b 00000001 03 1f1a 0000"
	discHex = rootHex + "706e 00000008" + cidHex + "7058 00000002" + sourceHex +
		"00000000 700e 00000001 00 00 0001 0002 012c"
)

func eight() sacn.Data {
	return sacn.Data{CID: cid, Source: "E1.31 check", Priority: 100, Sequence: 7, Universe: 1,
		Slots: []byte{255, 128, 0, 64, 10, 20, 30, 40}}
}

// full is a full universe; its length words are those that clause 4 of the
// standard gives for 638 octets.
func full() sacn.Data {
	d := eight()
	d.Sequence, d.Slots = 8, make([]byte, 512)
	for i := range d.Slots {
		d.Slots[i] = byte(i)
	}
	return d
}

func terminated() sacn.Data {
	d := eight()
	d.Sequence, d.Terminated = 9, true
	return d
}

func TestPacketsOfTheStandard(t *testing.T) {
	data, term := eight(), terminated()
	sync := sacn.Sync{CID: cid, Sequence: 3, Address: 7962}
	disc := sacn.Discovery{CID: cid, Source: "E1.31 check", Universes: []uint16{1, 2, 300}}
	for _, c := range []struct {
		name, hex string
		got       []byte
		kind      sacn.Kind
		size      int
	}{
		{"data", dataHex, data.Append(nil), sacn.KindData, 134},
		{"terminated", termHex, term.Append(nil), sacn.KindData, 134},
		{"synchronization", syncHex, sync.Append(nil), sacn.KindSync, 49},
		{"discovery", discHex, disc.Append(nil), sacn.KindDiscovery, 126},
	} {
		want := outside.Hex(t, c.hex)
		if len(want) != c.size {
			t.Fatalf("%s: the golden has %d octets, want %d", c.name, len(want), c.size)
		}
		if !bytes.Equal(c.got, want) {
			t.Errorf("%s:\ngot  % x\nwant % x", c.name, c.got, want)
		}
		if got := sacn.KindOf(want); got != c.kind {
			t.Errorf("%s: kind %d, want %d", c.name, got, c.kind)
		}
	}
}

func TestFullUniverseLengths(t *testing.T) {
	d := full()
	b := d.Append(nil)
	if len(b) != 638 {
		t.Fatalf("a full universe has %d octets, want 638", len(b))
	}
	for at, want := range map[int]string{16: "\x72\x6e", 38: "\x72\x58", 115: "\x72\x0b", 123: "\x02\x01"} {
		if got := string(b[at : at+2]); got != want {
			t.Errorf("octets %d: % x, want % x", at, got, want)
		}
	}
}

func TestAppendAppends(t *testing.T) {
	d := eight()
	if got := d.Append([]byte("before")); !bytes.Equal(got, append([]byte("before"), d.Append(nil)...)) {
		t.Errorf("Append changed or lost what was there: % x", got)
	}
}

// Group addresses of clause 9.3, and the discovery group.
func TestGroups(t *testing.T) {
	for _, c := range []struct {
		universe uint16
		v4, v6   string
	}{
		{1, "239.255.0.1", "ff18::8300:1"},
		{256, "239.255.1.0", "ff18::8300:100"},
		{7962, "239.255.31.26", "ff18::8300:1f1a"},
		{63999, "239.255.249.255", "ff18::8300:f9ff"},
		{sacn.DiscoveryUniverse, "239.255.250.214", "ff18::8300:fad6"},
	} {
		if got := sacn.Group4(c.universe).String(); got != c.v4 {
			t.Errorf("universe %d: IPv4 group %s, want %s", c.universe, got, c.v4)
		}
		if got := sacn.Group6(c.universe).String(); got != c.v6 {
			t.Errorf("universe %d: IPv6 group %s, want %s", c.universe, got, c.v6)
		}
	}
}

// Clause 6.7.2: with d the difference as a signed octet, discard when
// -20 < d <= 0.
func TestSequenceRule(t *testing.T) {
	for d := -128; d <= 127; d++ {
		for _, last := range []byte{0, 7, 250, 255} {
			want := !(d <= 0 && d > -20)
			if got := sacn.Accept(last, last+byte(d)); got != want {
				t.Errorf("Accept(%d, %d) (d = %d): %v, want %v", last, last+byte(d), d, got, want)
			}
		}
	}
}

func TestNameCID(t *testing.T) {
	a, b := sacn.NameCID("desk"), sacn.NameCID("desk 2")
	if a == b {
		t.Error("two names share a CID")
	}
	if a != sacn.NameCID("desk") {
		t.Error("the CID of a name changed")
	}
	if a[6]>>4 != 5 || a[8]>>6 != 2 { // RFC 9562, section 5.5
		t.Errorf("% x: want version 5, variant 10", a)
	}
}

func TestPages(t *testing.T) {
	for _, c := range []struct{ n, pages int }{{0, 1}, {1, 1}, {512, 1}, {513, 2}, {1025, 3}} {
		list := make([]uint16, c.n)
		for i := range list {
			list[i] = uint16(i + 1)
		}
		pages := sacn.Pages(cid, "x", list)
		var got []uint16
		for i, p := range pages {
			if int(p.Page) != i || int(p.Last) != c.pages-1 {
				t.Errorf("%d universes: page %d says %d of %d", c.n, i, p.Page, p.Last)
			}
			if _, err := sacn.ParseDiscovery(p.Append(nil)); err != nil {
				t.Error(err)
			}
			got = append(got, p.Universes...)
		}
		if len(pages) != c.pages || len(got) != c.n {
			t.Errorf("%d universes: %d pages with %d, want %d", c.n, len(pages), len(got), c.pages)
		}
	}
}
