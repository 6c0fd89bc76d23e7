package line

import (
	"errors"
	"net/netip"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/sacn"

	"pgregory.net/rapid"
)

func TestParseOut(t *testing.T) {
	for line, want := range map[string]Out{
		"e131 multicast": {Kind: "e131", Place: "multicast"},
		"e131 192.168.1.20 priority 120 interface eth0 sync 7 preview": {Kind: "e131", Place: "192.168.1.20",
			Addr: netip.MustParseAddr("192.168.1.20"), Priority: 120, Interface: "eth0", Sync: 7, Preview: true},
		"e131 multicast ipv6 universes 1-3,7 map 1:4,2-3:8-9 rate 30": {Kind: "e131", Place: "multicast", IPv6: true, Rate: 30,
			Universes: []Range{{1, 3}, {7, 7}}, Map: []Renumber{{Range{1, 1}, 4}, {Range{2, 3}, 8}}},
		"artnet nodes map 1-2:0-1 sync":         {Kind: "artnet", Place: "nodes", ArtSync: true, Map: []Renumber{{Range{1, 2}, 0}}},
		"artnet 10.0.0.7 port 6455":             {Kind: "artnet", Place: "10.0.0.7", Addr: netip.MustParseAddr("10.0.0.7"), Port: 6455},
		"  serial\t/dev/ttyUSB0   universes 2 ": {Kind: "serial", Place: "/dev/ttyUSB0", Universes: []Range{{2, 2}}},
		"widget COM3 baud 115200":               {Kind: "widget", Place: "COM3", Baud: 115200},
		`file "first night.frames"`:             {Kind: "file", Place: "first night.frames"},
	} {
		if want.Priority == 0 {
			want.Priority = sacn.DefaultPriority
		}
		if got, err := ParseOut(line); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s:\ngot  %+v, %v\nwant %+v", line, got, err, want)
		}
	}
}

func TestSpecFaults(t *testing.T) {
	for _, c := range []struct{ line, faults string }{
		{"", "column 1: got the end of the line, want a kind of output"},
		{"e132 multicast", `column 1: got kind "e132", want e131, artnet, serial, widget or file (did you mean "e131"?)`},
		{`"`, "column 1: got nothing between quotes, want a kind of output"},
		{`file ""`, "column 6: got nothing between quotes, want a path"},
		{"e131", "column 5: got the end of the line, want multicast or an address"},
		{"e131 multicats", "column 6: got \"multicats\", want multicast or an address, as 192.168.1.20 (did you mean \"multicast\"?)"},
		{"e131 multicast priority 201", `column 25: got "201", want a number from 0 to 200`},
		{"e131 multicast universes 0", `column 26: got "0", want universes from 1 to 63999, as 3 or 1-3`},
		{"e131 multicast universes 1,64000,3-2", `column 28: got "64000"|column 34: got "3-2"`},
		{"e131 multicast map 1:64000", `column 22: got "64000"`},
		{"e131 multicast map 1-2:63999", `ends beyond universe 63999`},
		{"e131 multicast map 1-2:4-6", "as many universes on both sides"},
		{"e131 multicast map 1:4,1:5", "column 24: got \"1:5\": universe 1 is mapped already"},
		{"e131 multicast map 1:4,2:4", "universe 4 of the wire is taken already"},
		{"e131 multicast map 1", "want the show's universe and the wire's"},
		{"e131 multicast priorty 3 sync", `column 16: got "priorty", which e131 output does not know: it takes universes, map, rate, interface, port, priority, sync, preview or ipv6 (did you mean "priority"?)|column 24: got "3"|column 30: got the end of the line`},
		{"e131 10.0.0.1 ipv6", `column 15: got "ipv6" with an address`},
		{"e131 multicast rate 0 rate 5", `column 21: got "0", want 1 to 1000|column 23: got "rate" twice`},
		{"e131 multicast rate NaN", `got "NaN"`},
		{"artnet ::1", "Art-Net has IPv4 only"},
		{"artnet nodes priority 3", "which artnet output does not know"},
		{"serial /dev/x universes 1-2", "carries one universe"},
		{"serial /dev/x break bite", "column 21: got \"bite\", want signal or byte (did you mean \"byte\"?)"},
		{"widget COM1 baud 12", "want a number from 9600"},
	} {
		_, err := ParseOut(c.line)
		if err == nil {
			t.Errorf("%s: taken", c.line)
			continue
		}
		for _, f := range strings.Split(c.faults, "|") {
			if !strings.Contains(err.Error(), f) {
				t.Errorf("%s: no %q in\n%v", c.line, f, err)
			}
		}
		var fault *Fault
		if !errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(c.line)+1 {
			t.Errorf("%s: fault %+v", c.line, fault)
		}
	}
}

// No universe of the show leaves under a number that another one has.
func TestMapIsOneToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.StringMatching(`e131 multicast map [1-9](-[1-9])?:[1-9](,[1-9]:[1-9]){0,2}`).Draw(t, "line")
		s, err := ParseOut(line)
		if err != nil {
			return
		}
		taken := map[uint16]uint16{}
		for u := uint16(1); u < 30; u++ {
			w, goes := s.Wire(u)
			if other, twice := taken[w]; goes && twice {
				t.Fatalf("%s: universes %d and %d both leave as %d", line, other, u, w)
			}
			if goes {
				taken[w] = u
			}
		}
	})
}

func FuzzParseOut(f *testing.F) {
	f.Add("e131 multicast ipv6 universes 1-3,7 map 1:4,2-3:8-9 rate 30")
	f.Add(`file "a b`)
	f.Fuzz(func(t *testing.T, line string) {
		s, err := ParseOut(line)
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(line)+1) {
			t.Errorf("%q: %v", line, err)
		}
		if err == nil && kinds[s.Kind] == nil {
			t.Errorf("%q: kind %q", line, s.Kind)
		}
		s.Wire(7)
	})
}
