package artnet_test

import (
	"bytes"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/wire/artnet"
	"lampblack/wire/outside"
)

// Art-Net 4: the port, the highest 15-bit Port-Address, and the times of
// ArtPoll (every 2.5 to 3 s, an answer within 3 s) and ArtSync (4 s).
func TestNumbersOfTheProtocol(t *testing.T) {
	if artnet.Port != 0x1936 || artnet.MaxPortAddress != 32767 {
		t.Errorf("port %d, highest Port-Address %d", artnet.Port, artnet.MaxPortAddress)
	}
	if artnet.PollInterval < 2500*time.Millisecond || artnet.PollInterval > 3*time.Second || artnet.ReplyWithin != 3*time.Second || artnet.SyncLoss != 4*time.Second {
		t.Errorf("times %v, %v, %v", artnet.PollInterval, artnet.ReplyWithin, artnet.SyncLoss)
	}
	if artnet.OpPoll != 0x2000 || artnet.OpPollReply != 0x2100 || artnet.OpDmx != 0x5000 || artnet.OpSync != 0x5200 {
		t.Errorf("OpCodes %#x, %#x, %#x, %#x", artnet.OpPoll, artnet.OpPollReply, artnet.OpDmx, artnet.OpSync)
	}
}

// Each field of ArtPollReply stands at its offset and in its order of octets,
// as the table of the Art-Net 4 text has it, and nowhere else.
func TestPollReplyOffsets(t *testing.T) {
	type reply = artnet.PollReply
	fields := []struct {
		at     int
		octets string
		want   reply
	}{
		{10, "\x0a\x0b\x0c\x0d", reply{IP: [4]byte{10, 11, 12, 13}}},
		{14, "\x36\x19", reply{UDPPort: 0x1936}}, // low octet first
		{16, "\x01\x02", reply{Version: 0x0102}},
		{18, "\x7f", reply{Net: 0x7F}},
		{19, "\x0e", reply{SubNet: 14}},
		{20, "\x12\x34", reply{Oem: 0x1234}},
		{22, "\x05", reply{Ubea: 5}},
		{23, "\xd0", reply{Status1: 0xD0}},
		{24, "\xf0\x7f", reply{Esta: 0x7FF0}}, // low octet first
		{26, "a name of 17 octs", reply{ShortName: "a name of 17 octs"}},
		{44, "a longer name", reply{LongName: "a longer name"}},
		{44, strings.Repeat("n", 63), reply{LongName: strings.Repeat("n", 63)}},
		{108, "#0001 [0002] ok", reply{Report: "#0001 [0002] ok"}},
		{108, strings.Repeat("r", 63), reply{Report: strings.Repeat("r", 63)}},
		{172, "\x00\x03", reply{NumPorts: 3}},
		{174, "\x80\x40\xc0\x85", reply{PortTypes: [4]byte{0x80, 0x40, 0xC0, 0x85}}},
		{178, "\x01\x02\x03\x04", reply{GoodInput: [4]byte{1, 2, 3, 4}}},
		{182, "\x05\x06\x07\x08", reply{GoodOutputA: [4]byte{5, 6, 7, 8}}},
		{186, "\x01\x02\x03\x04", reply{SwIn: [4]byte{1, 2, 3, 4}}},
		{190, "\x05\x06\x07\x08", reply{SwOut: [4]byte{5, 6, 7, 8}}},
		{194, "\x64", reply{AcnPriority: 100}},
		{195, "\x03", reply{SwMacro: 3}},
		{196, "\x04", reply{SwRemote: 4}},
		{197, "\x01\x02\x03", reply{Spare: [3]byte{1, 2, 3}}},
		{200, "\x01", reply{Style: artnet.StyleController}},
		{201, "\x02\x00\x5e\x01\x02\x03", reply{MAC: [6]byte{2, 0, 0x5E, 1, 2, 3}}},
		{207, "\x0a\x00\x00\x07", reply{BindIP: [4]byte{10, 0, 0, 7}}},
		{211, "\x02", reply{BindIndex: 2}},
		{212, "\x08", reply{Status2: artnet.Status2LongPort}},
		{213, "\x01\x02\x03\x04", reply{GoodOutputB: [4]byte{1, 2, 3, 4}}},
		{217, "\x20", reply{Status3: 0x20}},
		{218, "\x01\x02\x03\x04\x05\x06", reply{ResponderUID: [6]byte{1, 2, 3, 4, 5, 6}}},
		{224, "\x01\x02", reply{User: [2]byte{1, 2}}},
		{226, "\x00\x2c", reply{RefreshRate: 44}},
		{228, "\x01\x02\x03\x04\x05\x06\x07\x08\x09\x0a\x0b", reply{Filler: [11]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}}},
	}
	covered := 10
	for _, f := range fields {
		b := make([]byte, 239)
		copy(b, "Art-Net\x00\x00\x21")
		copy(b[f.at:], f.octets)
		got, err := artnet.ParsePollReply(b)
		if err != nil || got != f.want {
			t.Errorf("%d: read %+v, %v", f.at, got, err)
		}
		if again := f.want.Append(nil); !bytes.Equal(again, b) {
			t.Errorf("%d: written % x", f.at, again)
		}
		covered = max(covered, f.at+len(f.octets))
	}
	if covered != 239 {
		t.Errorf("the table ends at octet %d", covered)
	}
	long := artnet.PollReply{ShortName: strings.Repeat("s", 40), LongName: "one\x00two", Report: strings.Repeat("r", 80)}
	got, err := artnet.ParsePollReply(long.Append(nil))
	if err != nil || got.ShortName != strings.Repeat("s", 17) || got.LongName != "one" || got.Report != strings.Repeat("r", 63) {
		t.Errorf("long names come back as %+v, %v", got, err)
	}
	// A field without a NUL ends before its last octet.
	b := long.Append(nil)
	copy(b[26:], strings.Repeat("x", 18))
	if got, _ := artnet.ParsePollReply(b); got.ShortName != strings.Repeat("x", 17) {
		t.Errorf("a name without a NUL reads %q", got.ShortName)
	}
	for ports, taken := range map[byte]bool{0: true, 4: true, 5: false, 255: false} {
		b[173] = ports
		if _, err := artnet.ParsePollReply(b); (err == nil) != taken {
			t.Errorf("%d ports: %v", ports, err)
		}
	}
}

// Each field of ArtPoll in its longer form, of 22 octets.
func TestPollOffsets(t *testing.T) {
	for _, f := range []struct {
		at     int
		octets string
		want   artnet.Poll
	}{
		{12, "\x22", artnet.Poll{Flags: artnet.ReplyOnChange | artnet.Targeted}},
		{12, "\x1c", artnet.Poll{Flags: artnet.SendDiagnostics | artnet.UnicastDiagnostics | artnet.NoVLC}},
		{13, "\x40", artnet.Poll{Priority: 0x40}},
		{14, "\x01\x02", artnet.Poll{Top: 0x0102}},
		{16, "\x01\x02", artnet.Poll{Bottom: 0x0102}},
		{18, "\x7f\xf0", artnet.Poll{Esta: 0x7FF0}},
		{20, "\x12\x34", artnet.Poll{Oem: 0x1234}},
	} {
		b := make([]byte, 22)
		copy(b, "Art-Net\x00\x00\x20\x00\x0e")
		copy(b[f.at:], f.octets)
		if got, err := artnet.ParsePoll(b); err != nil || got != f.want {
			t.Errorf("%d: read %+v, %v", f.at, got, err)
		}
		want := b
		if f.at < 14 { // the short form says as much
			want = b[:14]
		}
		if again := f.want.Append(nil); !bytes.Equal(again, want) {
			t.Errorf("%d: written % x", f.at, again)
		}
	}
	for n := range 12 {
		if _, err := artnet.ParsePoll([]byte("Art-Net\x00\x00\x20\x00\x0e")[:n]); err == nil {
			t.Errorf("a poll of %d octets is taken", n)
		}
	}
	// A later version of the protocol is taken, an earlier one is not.
	for version, taken := range map[byte]bool{13: false, 14: true, 15: true} {
		if _, err := artnet.ParsePoll([]byte("Art-Net\x00\x00\x20\x00" + string(rune(version)))); (err == nil) != taken {
			t.Errorf("version %d: %v", version, err)
		}
	}
}

// ArtSync: 14 octets, the last two of them 0, version 14 (Art-Net 4).
func TestSync(t *testing.T) {
	good := outside.Hex(t, syncHex)
	if err := artnet.ParseSync(good); err != nil {
		t.Error(err)
	}
	for _, c := range []struct {
		at   int
		set  byte
		says string
	}{{11, 13, "ProtVer: got 13"}, {11, 15, "ProtVer: got 15, want 14"}, {12, 1, "got 01 00 after the version"}, {13, 1, "got 00 01 after the version"}, {9, 0x50, "OpCode: got 0x5000, want 0x5200"}} {
		b := bytes.Clone(good)
		b[c.at] = c.set
		if err := artnet.ParseSync(b); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("octet %d: error %v, want %q in it", c.at, err, c.says)
		}
	}
	for n := range good {
		if artnet.ParseSync(good[:n]) == nil {
			t.Errorf("%d octets are taken", n)
		}
	}
}

// Every octet of an ArtDmx packet is a constant, a length, or a field that comes
// back: changed, the packet is refused or says so.
func TestEveryBitOfDmx(t *testing.T) {
	good := outside.Hex(t, dmxHex)
	for at := range good {
		for bit := range 8 {
			b := bytes.Clone(good)
			b[at] ^= 1 << bit
			d, err := artnet.ParseDmx(b)
			if constant := at < 12 || at == 16 || at == 17 || at == 15 && bit == 7; (err != nil) != constant {
				t.Errorf("octet %d, bit %d: %v", at, bit, err)
			}
			if err == nil && !bytes.Equal(d.Append(nil), b) {
				t.Errorf("octet %d, bit %d: encodes to % x", at, bit, d.Append(nil))
			}
		}
	}
	d, err := artnet.ParseDmx(good)
	if want := (artnet.Dmx{Sequence: 5, PortAddress: 1, Slots: []byte{255, 128, 0, 64}}); err != nil || !reflect.DeepEqual(d, want) {
		t.Errorf("got %+v, %v", d, err)
	}
	if _, err := artnet.ParseDmx(outside.Hex(t, syncHex)); !errors.Is(err, artnet.ErrNot) {
		t.Errorf("an ArtSync as ArtDmx: %v", err)
	}
}

// Bounds of ArtDmx: 512 slots, the 15-bit Port-Address; fewer than two slots
// are filled up, an odd number is made even.
func TestDmxBounds(t *testing.T) {
	for n, octets := range map[int]int{0: 20, 1: 20, 2: 20, 3: 22, 511: 530, 512: 530} {
		d := artnet.Dmx{PortAddress: 0x7FFF, Slots: bytes.Repeat([]byte{9}, n)}
		b := d.Append(nil)
		if len(b) != octets || int(b[16])<<8|int(b[17]) != octets-18 || bytes.Count(b[18:], []byte{9}) != n {
			t.Errorf("%d slots: % x", n, b)
		}
		if _, err := artnet.ParseDmx(b); err != nil {
			t.Errorf("%d slots: %v", n, err)
		}
	}
	for want, d := range map[string]artnet.Dmx{
		"ArtDmx packet: Port-Address: got 32768, want 0 to 32767": {PortAddress: 0x8000},
		"ArtDmx packet: slots: got 513, want at most 512":         {Slots: make([]byte, 513)},
	} {
		if err := d.Check(); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
		func() {
			defer func() {
				if got := recover(); got != "artnet: "+want {
					t.Errorf("Append panics with %v", got)
				}
			}()
			d.Append(nil)
		}()
	}
	// A packet of 514 slots with a length to match is refused too.
	b := outside.Hex(t, "4172742d4e657400 0050 000e 05 00 0100 0202"+strings.Repeat("00", 514))
	if _, err := artnet.ParseDmx(b); err == nil {
		t.Error("514 slots are taken")
	}
}

// A sequence runs from 1 to 255 and begins again at 1: 0 switches the check off.
func TestNext(t *testing.T) {
	for s, want := range map[byte]byte{0: 1, 1: 2, 254: 255, 255: 1} {
		if got := artnet.Next(s); got != want {
			t.Errorf("after %d comes %d, want %d", s, got, want)
		}
	}
}

// Bits 14 to 8 net, 7 to 4 sub-net, 3 to 0 universe; what does not fit is cut.
func TestPortAddressBits(t *testing.T) {
	for _, c := range []struct {
		net, sub, universe byte
		want               uint16
	}{{0x7F, 15, 15, 0x7FFF}, {1, 0, 0, 0x100}, {0, 1, 0, 0x10}, {0, 0, 1, 1}, {0xFF, 0xF2, 0xF3, 0x7F23}} {
		if got := artnet.PortAddress(c.net, c.sub, c.universe); got != c.want {
			t.Errorf("%d, %d, %d: %#x, want %#x", c.net, c.sub, c.universe, got, c.want)
		}
	}
	// Only ports that put out, of as many as the node has.
	p := artnet.PollReply{Net: 1, SubNet: 2, NumPorts: 3, PortTypes: [4]byte{0x80, 0x40, 0xC0, 0x80}, SwOut: [4]byte{3, 4, 5, 6}}
	if got := p.Outputs(); !slices.Equal(got, []uint16{0x123, 0x125}) {
		t.Errorf("outputs %#x", got)
	}
	if p.NumPorts = 9; len(p.Outputs()) != 3 {
		t.Errorf("of nine ports, outputs %#x", p.Outputs())
	}
	if p.IP = [4]byte{10, 1, 2, 3}; p.Addr().String() != "10.1.2.3" {
		t.Errorf("address %v", p.Addr())
	}
}

// What is no packet has no OpCode.
func TestOpCodeOf(t *testing.T) {
	for hex, want := range map[string]bool{"4172742d4e657400 0052": true, "4172742d4e657400 00": false, "4172742d4e657401 0052": false, "": false} {
		if op, ok := artnet.OpCodeOf(outside.Hex(t, hex)); ok != want || ok && op != artnet.OpSync || !ok && op != 0 {
			t.Errorf("%s: %#x, %v", hex, op, ok)
		}
	}
}
