package artnet_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/artnet"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

// Octets written by hand from the tables of the Art-Net 4 text; tshark
// dissects each as named.
const (
	dmxHex  = "4172742d4e657400 0050 000e 05 00 0100 0004 ff800040"
	syncHex = "4172742d4e657400 0052 000e 00 00"
	pollHex = "4172742d4e657400 0020 000e 00 00"
)

var replyHex = "4172742d4e657400 0021 7f000001 3619 0001 00 00 00ff 00 d0 f07f" +
	"73686f7274" + zeros(18-5) + "6c6f6e67206e616d65" + zeros(64-9) + "2330303031205b303030315d206f6b" + zeros(64-15) +
	"0001 80000000 00000000 80000000 00000000 01000000 64 00 00 000000 00 000000000000 7f000001 01 08 00000000 00 000000000000 0000 002c" + zeros(11)

func zeros(n int) string { return strings.Repeat("00", n) }

func reply() artnet.PollReply {
	return artnet.PollReply{IP: [4]byte{127, 0, 0, 1}, UDPPort: artnet.Port, Version: 1, Oem: 0xFF, Status1: 0xD0, Esta: 0x7FF0,
		ShortName: "short", LongName: "long name", Report: "#0001 [0001] ok", NumPorts: 1, PortTypes: [4]byte{0x80},
		GoodOutputA: [4]byte{0x80}, SwOut: [4]byte{1}, AcnPriority: 100, BindIP: [4]byte{127, 0, 0, 1}, BindIndex: 1,
		Status2: artnet.Status2LongPort, RefreshRate: 44}
}

func TestPackets(t *testing.T) {
	dmx := artnet.Dmx{Sequence: 5, PortAddress: 1, Slots: []byte{255, 128, 0, 64}}
	poll, rep := artnet.Poll{}, reply()
	for _, c := range []struct {
		name, hex string
		got       []byte
		op        artnet.OpCode
		size      int
	}{
		{"dmx", dmxHex, dmx.Append(nil), artnet.OpDmx, 22},
		{"sync", syncHex, artnet.AppendSync(nil), artnet.OpSync, 14},
		{"poll", pollHex, poll.Append(nil), artnet.OpPoll, 14},
		{"poll reply", replyHex, rep.Append(nil), artnet.OpPollReply, 239},
	} {
		want := outside.Hex(t, c.hex)
		if len(want) != c.size || !bytes.Equal(c.got, want) {
			t.Errorf("%s (%d octets, want %d):\ngot  % x\nwant % x", c.name, len(want), c.size, c.got, want)
		}
		if op, ok := artnet.OpCodeOf(want); !ok || op != c.op {
			t.Errorf("%s: OpCode %#x", c.name, op)
		}
	}
	if got, err := artnet.ParsePollReply(outside.Hex(t, replyHex)); err != nil || got != rep {
		t.Errorf("poll reply: %+v, %v", got, err)
	}
	if got := rep.Outputs(); !reflect.DeepEqual(got, []uint16{1}) {
		t.Errorf("outputs %v, want 1", got)
	}
}

// Net 1, Sub-Net 2, Universe 3 is 0x0123.
func TestPortAddress(t *testing.T) {
	if got := artnet.PortAddress(1, 2, 3); got != 0x0123 {
		t.Errorf("got %#x", got)
	}
	d := artnet.Dmx{PortAddress: 0x0123, Slots: []byte{1}}
	if b := d.Append(nil); !bytes.Equal(b[14:], []byte{0x23, 0x01, 0, 2, 1, 0}) {
		t.Errorf("got % x, want the low octet first, one slot made even", b[14:])
	}
}

func TestNextSkipsZero(t *testing.T) {
	s := byte(0)
	for i := range 600 {
		if s = artnet.Next(s); s == 0 {
			t.Fatalf("0 after %d steps", i)
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, c := range []struct{ hex, says string }{
		{"", "identifier"},
		{"4172742d4e657401 0050", "identifier"},
		{syncHex, "OpCode: got 0x5200, want 0x5000"},
		{"4172742d4e657400 0050 000e 05 00", "length: got 14 octets, want at least 18"},
		{"4172742d4e657400 0050 000d 05 00 0100 0004 ff800040", "ProtVer: got 13"},
		{"4172742d4e657400 0050 000e 05 00 0100 0003 ff8000", "length: got 3"},
		{"4172742d4e657400 0050 000e 05 00 0100 0000", "length: got 0"},
		{"4172742d4e657400 0050 000e 05 00 0100 0200 ff800040", "length: got 512 with 4"},
		{"4172742d4e657400 0050 000e 05 00 0080 0002 ff80", "Port-Address: got 32768"},
	} {
		if _, err := artnet.ParseDmx(outside.Hex(t, c.hex)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.hex, err, c.says)
		}
	}
	if err := artnet.ParseSync(outside.Hex(t, syncHex+"00")); err == nil {
		t.Error("a longer ArtSync is taken")
	}
	if _, err := artnet.ParsePollReply(outside.Hex(t, replyHex)[:197]); err == nil {
		t.Error("a poll reply of 197 octets is taken")
	}
}

// Old nodes send shorter replies and polls: what is missing is 0.
func TestShortForms(t *testing.T) {
	got, err := artnet.ParsePollReply(outside.Hex(t, replyHex)[:198])
	if err != nil || got.ShortName != "short" || got.BindIndex != 0 || got.AcnPriority != 100 {
		t.Errorf("got %+v, %v", got, err)
	}
	if _, err := artnet.ParsePoll(outside.Hex(t, pollHex)[:12]); err != nil {
		t.Error(err)
	}
	long := artnet.Poll{Flags: artnet.Targeted, Top: 2, Bottom: 1}
	if p, err := artnet.ParsePoll(long.Append(nil)); err != nil || p != long || len(long.Append(nil)) != 22 {
		t.Errorf("got %+v, %v", p, err)
	}
}

func TestDmxRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := artnet.Dmx{Sequence: rapid.Byte().Draw(t, "sequence"), Physical: rapid.Byte().Draw(t, "physical"),
			PortAddress: rapid.Uint16Range(0, artnet.MaxPortAddress).Draw(t, "port"),
			Slots:       rapid.SliceOfN(rapid.Byte(), 0, 512).Draw(t, "slots")}
		got, err := artnet.ParseDmx(d.Append(nil))
		if err != nil || !bytes.HasPrefix(got.Slots, d.Slots) || len(got.Slots)%2 != 0 {
			t.Fatalf("%+v, %v", got, err)
		}
		got.Slots, d.Slots = nil, nil
		if !reflect.DeepEqual(got, d) {
			t.Fatalf("got %+v, want %+v", got, d)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, hex := range []string{dmxHex, syncHex, pollHex, replyHex} {
		f.Add(outside.Hex(f, hex))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if d, err := artnet.ParseDmx(b); err == nil && !bytes.Equal(d.Append(nil), b) {
			t.Errorf("ArtDmx % x encodes to % x", b, d.Append(nil))
		}
		if err := artnet.ParseSync(b); err == nil && !bytes.Equal(artnet.AppendSync(nil), b) {
			t.Errorf("ArtSync % x", b)
		}
		if p, err := artnet.ParsePoll(b); err == nil {
			if q, err := artnet.ParsePoll(p.Append(nil)); err != nil || q != p {
				t.Errorf("ArtPoll %+v comes back as %+v, %v", p, q, err)
			}
		}
		if p, err := artnet.ParsePollReply(b); err == nil {
			p.Outputs()
			if q, err := artnet.ParsePollReply(p.Append(nil)); err != nil || q != p {
				t.Errorf("ArtPollReply %+v comes back as %+v, %v", p, q, err)
			}
		}
	})
}

func TestTsharkDissects(t *testing.T) {
	dmx := artnet.Dmx{Sequence: 5, PortAddress: artnet.PortAddress(1, 2, 3), Slots: []byte{255, 128, 0, 64}}
	poll, rep := artnet.Poll{}, reply()
	lines := outside.Dissect(t, artnet.Port, [][]byte{dmx.Append(nil), artnet.AppendSync(nil), poll.Append(nil), rep.Append(nil)}, nil,
		"artnet.header.opcode", "artnet.header.protver", "artnet.output.sequence", "artnet.output.universe", "artnet.output.length",
		"dmx_chan.data_filter", "artnet.poll_reply.ip_address", "artnet.poll_reply.port_nr", "artnet.poll_reply.short_name",
		"artnet.poll_reply.long_name", "artnet.poll_reply.esta_man", "artnet.poll_reply.num_ports", "_ws.malformed")
	want := []string{
		"0x5000\t14\t5\t291\t4\tff800040\t\t\t\t\t\t\t",
		"0x5200\t14\t\t\t\t\t\t\t\t\t\t\t",
		"0x2000\t14\t\t\t\t\t\t\t\t\t\t\t",
		"0x2100\t\t\t\t\t\t127.0.0.1\t6454\tshort\tlong name\t0x7ff0\t1\t",
	}
	for i := range want {
		if lines[i] != want[i] {
			t.Errorf("packet %d:\ngot  %q\nwant %q", i, lines[i], want[i])
		}
	}
}
