package beacon_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net/netip"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/beacon"
	"lampblack/wire/outside"
)

// full is a beacon with every field.
func full() beacon.Beacon {
	return beacon.Beacon{Run: [16]byte{1, 15: 2}, Machine: "desk", Show: "The Tide Clock", PID: 4711, CID: [16]byte{9}, Sends: []beacon.Sends{
		{Protocol: beacon.E131, Priority: 100, Universes: []beacon.Range{{1, 3}, {7, 7}}},
		{Protocol: beacon.ArtNet, To: netip.MustParseAddr("10.0.0.7"), Universes: []beacon.Range{{0, 0}}},
		{Protocol: beacon.E131, To: netip.MustParseAddr("fd00::7"), Universes: []beacon.Range{{63999, 63999}}},
		{Protocol: beacon.E131, To: netip.MustParseAddr("127.0.0.1"), Port: 6000, Universes: []beacon.Range{{1, 1}}},
	}, Other: []beacon.Field{{7, []byte{1, 2}}, {7, []byte{3}}, {200, []byte("x")}}}
}

// The octets of a packet, written out by the table of the package.
func TestOctets(t *testing.T) {
	c := beacon.Beacon{Run: [16]byte{0: 0xaa, 15: 0xbb}, Machine: "m", Show: "sh", PID: 258, CID: [16]byte{0: 1}, Sends: []beacon.Sends{
		{Protocol: beacon.E131, Priority: 100, To: netip.MustParseAddr("10.0.0.7"), Universes: []beacon.Range{{1, 2}}},
		{Protocol: beacon.ArtNet, Port: 0x1770, Universes: []beacon.Range{{1, 2}}}}}
	want := outside.Hex(t, "6c6d7062"+"01"+"aa0000000000000000000000000000bb"+
		"010001"+"6d"+"020002"+"7368"+"030004"+"00000102"+"040010"+"01000000000000000000000000000000"+
		"05000b"+"01"+"64"+"04"+"0a000007"+"0001"+"0002"+
		"060009"+"1770"+"02"+"00"+"00"+"0001"+"0002")
	if got := c.Append(nil); !bytes.Equal(got, want) {
		t.Errorf("% x, want % x", got, want)
	}
}

func TestRoundTrip(t *testing.T) {
	want := full()
	b := want.Append([]byte("before"))[len("before"):]
	got, err := beacon.Parse(b)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
	for n := range b { // cut anywhere, it is refused or holds whole fields only
		if c, err := beacon.Parse(b[:n]); err == nil && !bytes.Equal(c.Append(nil), b[:n]) {
			t.Errorf("cut to %d octets it reads %+v", n, c)
		}
	}
}

// What is refused, and says why.
func TestRefused(t *testing.T) {
	head := "6c6d7062" + "01" + strings.Repeat("00", 16)
	for says, hex := range map[string]string{
		"at the beginning":        "6c6d7063" + "01" + strings.Repeat("00", 16),
		"version: got 2":          "6c6d7062" + "02" + strings.Repeat("00", 16),
		"field: got 2":            head + "0100",
		"length: got 2, and 1":    head + "01000261",
		"port: got 00 00":         head + "060009" + "0000" + "02000000010002",
		"length: got 0":           head + "010000",
		"want tags to ascend":     head + "02000161" + "01000161",
		"got it after field 1":    head + "01000161" + "01000161",
		"field 0":                 head + "00000161",
		"want text":               head + "010001ff",
		"process":                 head + "03000400000000",
		"component identifier":    head + "04001000000000000000000000000000000000",
		"address: got 3":          head + "05000a" + "016403" + "0a0000" + "00010002",
		"got 2 octets, want more": head + "050002" + "0164",
		"want some ranges":        head + "050003" + "016400",
		"got 2 to 1":              head + "050007" + "016400" + "00020001",
		"do not touch":            head + "05000b" + "016400" + "00010001" + "00020002",
		"at most 1400":            head + strings.Repeat("00", beacon.MaxSize),
		"at least 21":             "6c6d7062",
	} {
		if c, err := beacon.Parse(outside.Hex(t, hex)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %+v, %v", says, c, err)
		}
	}
}

// Whatever is to be said fits into a packet, and is read again.
func TestFits(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		c := beacon.Beacon{Machine: strings.Repeat("ü", rng.IntN(200)), Show: strings.Repeat("光", rng.IntN(200)) + "\xff"}
		for range rng.IntN(12) {
			var all []uint16
			for u := 1; u < 60000; u += 1 + rng.IntN(1+rng.IntN(3000)) {
				all = append(all, uint16(u))
			}
			c.Sends = append(c.Sends, beacon.Sends{Protocol: beacon.E131, Universes: beacon.Ranges(all)})
		}
		b := c.Append(nil)
		got, err := beacon.Parse(b)
		if err != nil || len(b) > beacon.MaxSize || !strings.HasPrefix(c.Show, got.Show) || len(c.Sends) > 0 && len(got.Sends) == 0 {
			t.Fatalf("%d octets: %v", len(b), err)
		}
	}
}

func TestRanges(t *testing.T) {
	if got := fmt.Sprint(beacon.Ranges([]uint16{1, 2, 3, 7, 9, 10, 65535})); got != "[{1 3} {7 7} {9 10} {65535 65535}]" {
		t.Error(got)
	}
}

// Every packet is hostile: what is accepted is written again octet by octet.
func FuzzParse(f *testing.F) {
	c := full()
	f.Add(c.Append(nil))
	f.Add((&beacon.Beacon{}).Append(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := beacon.Parse(b)
		if err == nil && !bytes.Equal(c.Append(nil), b) {
			t.Errorf("% x reads %+v, which is % x", b, c, c.Append(nil))
		}
	})
}

func ExampleParse() {
	c := beacon.Beacon{Machine: "desk", Show: "The Tide Clock", Sends: []beacon.Sends{{Protocol: beacon.E131, Priority: 100, Universes: beacon.Ranges([]uint16{1, 2, 3})}}}
	got, err := beacon.Parse(c.Append(nil))
	fmt.Println(got.Machine, got.Show, got.Sends[0].Universes, err)
	// Output: desk The Tide Clock [{1 3}] <nil>
}
