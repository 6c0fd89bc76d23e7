package sacn_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/wire/outside"
	"lampblack/wire/sacn"
)

// ANSI E1.31-2018, appendix A (ACN_SDT_MULTICAST_PORT,
// E131_NETWORK_DATA_LOSS_TIMEOUT, E131_UNIVERSE_DISCOVERY_INTERVAL,
// E131_DISCOVERY_UNIVERSE) and clauses 6.2.2, 6.2.3, 6.2.7 and 8.5.
func TestNumbersOfTheStandard(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"port", sacn.Port, 5568},
		{"data loss", sacn.DataLoss, 2500 * time.Millisecond},
		{"discovery interval", sacn.DiscoveryInterval, 10 * time.Second},
		{"discovery universe", sacn.DiscoveryUniverse, 64214},
		{"highest universe", sacn.MaxUniverse, 63999},
		{"highest priority", sacn.MaxPriority, 200},
		{"priority of a source that was told nothing", sacn.DefaultPriority, 100},
		{"slots", sacn.MaxSlots, 512},
		{"universes of a page", sacn.PageSize, 512},
		{"octets of a source name", sacn.MaxSource, 63},
		{"octets before the first slot", sacn.DataHead, 126},
	} {
		if c.got != c.want {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}

// Every bit of every octet of the packets of the standard, turned over one at a
// time: the packet is refused, or what it then says is what it holds.
func TestEveryBitCounts(t *testing.T) {
	for _, hex := range []string{dataHex, termHex, syncHex, discHex} {
		good := outside.Hex(t, hex)
		for at := range good {
			for bit := range 8 {
				b := bytes.Clone(good)
				b[at] ^= 1 << bit
				var again []byte
				if d, err := sacn.ParseData(b); err == nil {
					again = d.Append(nil)
				} else if s, err := sacn.ParseSync(b); err == nil {
					again = s.Append(nil)
				} else if d, err := sacn.ParseDiscovery(b); err == nil {
					again = d.Append(nil)
				} else {
					continue
				}
				if !bytes.Equal(again, b) {
					t.Fatalf("octet %d of % x: it reads, and encodes to % x", at, b, again)
				}
			}
		}
	}
}

// What is behind a packet of a known length is no part of it.
func TestNothingBehind(t *testing.T) {
	for _, hex := range []string{dataHex, syncHex, discHex} {
		b := append(outside.Hex(t, hex), 0, 0)
		_, e1 := sacn.ParseData(b)
		_, e2 := sacn.ParseSync(b)
		_, e3 := sacn.ParseDiscovery(b)
		if e1 == nil || e2 == nil || e3 == nil {
			t.Errorf("% x with two octets behind it is taken", b)
		}
	}
}

// refused tells the text of Check's error, "" for none, and wants Append to
// panic with it.
func refused(t *testing.T, check func() error, encode func([]byte) []byte) (text string) {
	t.Helper()
	err := check()
	defer func() {
		if got := recover(); (got != nil) != (err != nil) || err != nil && got != "sacn: "+err.Error() {
			t.Errorf("Check says %v, Append panics with %v", err, got)
		}
	}()
	if err != nil {
		text = err.Error()
	}
	encode(nil)
	return text
}

// Values at their bounds are carried, those past them are refused and named.
func TestBounds(t *testing.T) {
	universe := func(u uint16) func(*sacn.Data) { return func(d *sacn.Data) { d.Universe = u } }
	for _, c := range []struct {
		set  func(*sacn.Data)
		want string
	}{
		{universe(0), "data packet: universe: got 0, want 1 to 63999"},
		{universe(1), ""}, {universe(63999), ""},
		{universe(64000), "data packet: universe: got 64000, want 1 to 63999"},
		{universe(64214), "data packet: universe: got 64214, want 1 to 63999"},
		{func(d *sacn.Data) { d.Priority = 200 }, ""},
		{func(d *sacn.Data) { d.Priority = 201 }, "data packet: priority: got 201, want 0 to 200"},
		{func(d *sacn.Data) { d.SyncAddress = 63999 }, ""},
		{func(d *sacn.Data) { d.SyncAddress = 64000 }, "data packet: synchronization address: got 64000, want 0 to 63999"},
		{func(d *sacn.Data) { d.Slots = make([]byte, 512) }, ""},
		{func(d *sacn.Data) { d.Slots = make([]byte, 513) }, "data packet: slots: got 513, want at most 512"},
		{func(d *sacn.Data) { d.Slots = nil }, ""},
	} {
		d := eight()
		c.set(&d)
		if got := refused(t, d.Check, d.Append); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
	for address, want := range map[uint16]string{0: "synchronization packet: address: got 0, want 1 to 63999", 1: "", 63999: "", 64000: "synchronization packet: address: got 64000, want 1 to 63999"} {
		s := sacn.Sync{Address: address}
		if got := refused(t, s.Check, s.Append); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	many := make([]uint16, 513)
	for i := range many {
		many[i] = uint16(i + 1)
	}
	for _, c := range []struct {
		d    sacn.Discovery
		want string
	}{
		{sacn.Discovery{Page: 2, Last: 1}, "discovery packet: page: got 2, want at most the last page 1"},
		{sacn.Discovery{Page: 1, Last: 1}, ""},
		{sacn.Discovery{Universes: many}, "discovery packet: universes: got 513, want at most 512"},
		{sacn.Discovery{Universes: many[:512]}, ""},
		{sacn.Discovery{Universes: []uint16{5, 0}}, "discovery packet: universe 2 of the list: got 0, want 1 to 63999"},
		{sacn.Discovery{Universes: []uint16{64000}}, "discovery packet: universe 1 of the list: got 64000, want 1 to 63999"},
		{sacn.Discovery{Universes: []uint16{1, 2, 2}}, "discovery packet: universe 3 of the list: got 2 after 2, want ascending"},
		{sacn.Discovery{Universes: []uint16{1, 7, 3}}, "discovery packet: universe 3 of the list: got 3 after 7, want ascending"},
		{sacn.Discovery{Universes: []uint16{1, 63999}}, ""},
	} {
		if got := refused(t, c.d.Check, c.d.Append); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// Every constant of the packets of clauses 6.3 and 6.4, broken one at a time.
func TestParseRefuses(t *testing.T) {
	type broken struct {
		at   int
		set  byte
		says string
	}
	sync := func(b []byte) error { _, err := sacn.ParseSync(b); return err }
	discovery := func(b []byte) error { _, err := sacn.ParseDiscovery(b); return err }
	for _, c := range []struct {
		hex   string
		parse func([]byte) error
		list  []broken
	}{
		{syncHex, sync, []broken{
			{1, 0x11, "synchronization packet: octets 0 to 15: got 00 11"}, {17, 0x22, "root flags and length: got 0x7022, want 0x7021"},
			{21, 4, "root vector: got 0x4, want 0x8"}, {39, 0x0A, "framing flags and length: got 0x700a, want 0x700b"},
			{43, 2, "framing vector: got 0x2, want 0x1"}, {47, 1, "reserved: got 0x0100, want 0"}, {48, 1, "reserved: got 0x0001, want 0"},
			{45, 0xFA, "address: got 64026"},
		}},
		{discHex, discovery, []broken{
			{17, 0x6F, "root flags and length: got 0x706f, want 0x706e"}, {43, 1, "framing vector: got 0x1, want 0x2"},
			{44, 0xFF, "want UTF-8"}, {60, 1, "after its NUL"}, {108, 1, "reserved: got 0x01000000, want 0"}, {111, 1, "reserved: got 0x00000001, want 0"},
			{113, 0x0D, "universe list flags and length: got 0x700d, want 0x700e"}, {117, 2, "list vector: got 0x2, want 0x1"},
			{118, 1, "page: got 1, want at most the last page 0"}, {121, 0, "universe 1 of the list: got 0"}, {123, 1, "universe 2 of the list: got 1 after 1"},
		}},
	} {
		for _, x := range c.list {
			b := outside.Hex(t, c.hex)
			b[x.at] = x.set
			if err := c.parse(b); err == nil || !strings.Contains(err.Error(), x.says) {
				t.Errorf("octet %d: error %v, want %q in it", x.at, err, x.says)
			}
		}
	}
	// Packets of more octets than a length can say, with lengths to match.
	long := append(outside.Hex(t, dataHex), make([]byte, 0x1000)...)
	long[123], long[124] = 0x10, 9
	if _, err := sacn.ParseData(long); err == nil || !strings.Contains(err.Error(), "root flags and length") && !strings.Contains(err.Error(), "slots: got 4104, want at most 512") {
		t.Errorf("a packet of %d octets: %v", len(long), err)
	}
	// An odd octet at the end of a list, with all lengths to match.
	odd := append(outside.Hex(t, discHex), 0)
	odd[17], odd[39], odd[113] = 0x6F, 0x59, 0x0F
	if err := discovery(odd); err == nil || !strings.Contains(err.Error(), "universe list: got 7 octets, want an even number") {
		t.Errorf("an odd list: %v", err)
	}
}

// What is read is what was written: every field of a page of universes.
func TestDiscoveryRoundTrip(t *testing.T) {
	want := sacn.Discovery{CID: cid, Source: "desk", Page: 3, Last: 7, Universes: []uint16{1, 2, 300, 63999}}
	got, err := sacn.ParseDiscovery(want.Append(nil))
	if err != nil || got.CID != want.CID || got.Source != want.Source || got.Page != 3 || got.Last != 7 || !slices.Equal(got.Universes, want.Universes) {
		t.Errorf("got %+v, %v", got, err)
	}
	full := sacn.Discovery{Universes: make([]uint16, 512)}
	for i := range full.Universes {
		full.Universes[i] = uint16(i + 1)
	}
	if n := len(full.Append(nil)); n != 1144 { // clause 8
		t.Errorf("a full page has %d octets, want 1144", n)
	}
}

// A name-based identifier as Python's uuid.uuid5 makes it of the same namespace
// and name: after a restart, and in the next release, a source is the same.
func TestNameCIDAsOthersMakeIt(t *testing.T) {
	c := sacn.NameCID("desk")
	if got := fmt.Sprintf("%x-%x-%x-%x-%x", c[:4], c[4:6], c[6:8], c[8:10], c[10:]); got != "5d1bfbe0-f049-5997-abe3-2c584cc87121" {
		t.Errorf("got %s", got)
	}
}

// A packet that is changed in place is the packet of the other number.
func TestSetSequence(t *testing.T) {
	d := eight()
	b := d.Append(nil)
	sacn.SetSequence(b, 200)
	d.Sequence = 200
	if !bytes.Equal(b, d.Append(nil)) {
		t.Errorf("got % x", b)
	}
}

// Kinds are told apart by the vectors of appendix A, both of them.
func TestKindOf(t *testing.T) {
	for _, c := range []struct {
		root, frame byte
		want        sacn.Kind
	}{
		{4, 2, sacn.KindData}, {8, 1, sacn.KindSync}, {8, 2, sacn.KindDiscovery},
		{4, 1, sacn.Other}, {8, 3, sacn.Other}, {0, 2, sacn.Other}, {5, 2, sacn.Other},
	} {
		b := outside.Hex(t, rootHex+"7021 000000"+fmt.Sprintf("%02x", c.root)+cidHex+"700b 000000"+fmt.Sprintf("%02x", c.frame))
		if got := sacn.KindOf(b); got != c.want {
			t.Errorf("vectors %d and %d: kind %d, want %d", c.root, c.frame, got, c.want)
		}
		if got := sacn.KindOf(b[:len(b)-1]); got != sacn.Other {
			t.Errorf("cut off, it is of kind %d", got)
		}
		b[15] = 1
		if got := sacn.KindOf(b); got != sacn.Other {
			t.Errorf("with another identifier, it is of kind %d", got)
		}
	}
}

// A hostile network makes a receiver remember at most 256 sources of a
// universe, and the ones that it knows are still heard.
func TestReceiverIsBounded(t *testing.T) {
	var r sacn.Receiver
	now := time.Unix(0, 0)
	from := func(i int, sequence byte) sacn.Data {
		return sacn.Data{CID: [16]byte{byte(i), byte(i >> 8)}, Universe: 1, Priority: 100, Sequence: sequence, Slots: []byte{1}}
	}
	for i := range 300 {
		if got := r.Take(from(i, 0), now); got != (i < 256) {
			t.Fatalf("source %d is taken: %v", i, got)
		}
	}
	if got := len(r.Sources(1, now)); got != 256 {
		t.Errorf("%d sources", got)
	}
	if !r.Take(from(255, 1), now) {
		t.Error("a source that is known is not heard")
	}
	// Clause 6.7.1: a source is lost when nothing came for 2.5 s, not earlier.
	later := now.Add(sacn.DataLoss)
	if got := len(r.Sources(1, later)); got != 256 {
		t.Errorf("%d sources after 2.5 s", got)
	}
	if got := len(r.Sources(1, later.Add(1))); got != 0 {
		t.Errorf("%d sources after more than 2.5 s", got)
	}
	if !r.Take(from(299, 9), later.Add(1)) {
		t.Error("no room after all are lost")
	}
}

// Sources come by priority, the highest first, then by their identifier.
func TestReceiverOrder(t *testing.T) {
	var r sacn.Receiver
	now := time.Unix(0, 0)
	for _, s := range []sacn.Data{
		{CID: [16]byte{9}, Priority: 100, Source: "nine"}, {CID: [16]byte{3}, Priority: 100, Source: "three"}, {CID: [16]byte{5}, Priority: 150, Source: "five"}, {CID: [16]byte{7}, Priority: 20},
	} {
		s.Universe = 2
		r.Take(s, now)
	}
	var got []string
	for _, s := range r.Sources(2, now) {
		got = append(got, fmt.Sprint(s.CID[0], " ", s.Priority, " ", s.Name))
	}
	if want := []string{"5 150 five", "3 100 three", "9 100 nine", "7 20 "}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if r.Sources(1, now) != nil {
		t.Error("another universe has sources")
	}
	// Levels are appended, and a shorter packet of one priority ends earlier.
	r = sacn.Receiver{}
	r.Take(sacn.Data{CID: [16]byte{1}, Universe: 1, Slots: []byte{1, 9, 3}}, now)
	r.Take(sacn.Data{CID: [16]byte{2}, Universe: 1, Slots: []byte{7}}, now)
	if got := r.Levels([]byte{42}, 1, now); !bytes.Equal(got, []byte{42, 7, 9, 3}) {
		t.Errorf("levels %v", got)
	}
}
