package artnet_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/artnet"
	"lampblack/wire/outside"
)

const rdmSpare = "00 00 00 00 00 00 00 00 00 "

// Each packet octet by octet, by the tables of the Art-Net 4 text (from memory; tshark
// agrees below).
func TestPacketsThatCarryRDM(t *testing.T) {
	head := "41 72 74 2d 4e 65 74 00 "
	ask := artnet.TodAsk{Net: 1, Addresses: []byte{0x23, 0x24}}
	do := artnet.TodDo{PortAddress: 0x0123, Command: artnet.TodFlush}
	data := artnet.TodData{Port: 1, BindIndex: 2, PortAddress: 0x0123, Total: 3, Block: 1, UIDs: [][6]byte{{0x7A, 0x70, 0, 0, 0, 9}}}
	carried := artnet.Rdm{PortAddress: 0x0123, Packet: []byte{0xCC, 1, 2, 3}}
	for _, c := range []struct {
		name, want string
		got        []byte
	}{
		{"ArtTodRequest", head + "00 80 00 0e " + rdmSpare + "01 00 02 23 24" + strings.Repeat(" 00", 30), ask.Append(nil)},
		{"ArtTodControl", head + "00 82 00 0e " + rdmSpare + "01 01 23", do.Append(nil)},
		{"ArtTodData", head + "00 81 00 0e 01 01 00 00 00 00 00 00 02 01 00 23 00 03 01 01 7a 70 00 00 00 09", data.Append(nil)},
		{"ArtRdm", head + "00 83 00 0e 01 00 00 00 00 00 00 00 00 01 00 23 01 02 03", carried.Append(nil)},
	} {
		if !bytes.Equal(c.got, outside.Hex(t, c.want)) {
			t.Errorf("%s: got % x, want %s", c.name, c.got, c.want)
		}
	}
	gotAsk, err1 := artnet.ParseTodAsk(ask.Append(nil))
	gotDo, err2 := artnet.ParseTodDo(do.Append(nil))
	gotData, err3 := artnet.ParseTodData(data.Append(nil))
	gotCarried, err4 := artnet.ParseRdm(carried.Append(nil))
	if err1 != nil || err2 != nil || err3 != nil || err4 != nil {
		t.Fatal(err1, err2, err3, err4)
	}
	if !reflect.DeepEqual(gotAsk, ask) || gotDo != do || !reflect.DeepEqual(gotData, data) || !reflect.DeepEqual(gotCarried, carried) {
		t.Errorf("got %+v, %+v, %+v, %+v", gotAsk, gotDo, gotData, gotCarried)
	}
}

// tshark's names of the same fields.
func TestTsharkDissectsTables(t *testing.T) {
	do := artnet.TodDo{PortAddress: 0x0123, Command: artnet.TodFlush}
	data := artnet.TodData{Port: 1, PortAddress: 0x0123, Total: 2, UIDs: [][6]byte{{0x7A, 0x70, 0, 0, 0, 9}, {0x7A, 0x70, 0, 0, 0, 10}}}
	ask := artnet.TodAsk{Net: 1, Addresses: []byte{0x23}}
	text := outside.Explain(t, artnet.Port, [][]byte{do.Append(nil), data.Append(nil), ask.Append(nil)}, "artnet")
	for _, want := range []string{"ArtTodControl", "AtcFlush", "ArtTodData", "UID Total: 2", "UID Count: 2", "TOD: 7a7000000009", "ArtTodRequest"} {
		if !strings.Contains(text, want) {
			t.Errorf("tshark does not say %q:\n%s", want, text)
		}
	}
}

func FuzzTables(f *testing.F) {
	f.Add((&artnet.TodData{Port: 1, Total: 1, UIDs: [][6]byte{{1}}}).Append(nil))
	f.Add((&artnet.Rdm{Packet: []byte{0xCC, 1}}).Append(nil))
	f.Add((&artnet.TodAsk{Addresses: []byte{1}}).Append(nil))
	f.Add((&artnet.TodDo{Command: artnet.TodEnd}).Append(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		if p, err := artnet.ParseTodData(b); err == nil {
			if q, err := artnet.ParseTodData(p.Append(nil)); err != nil || !reflect.DeepEqual(p, q) {
				t.Errorf("%+v becomes %+v, %v", p, q, err)
			}
		}
		if p, err := artnet.ParseTodAsk(b); err == nil {
			if q, err := artnet.ParseTodAsk(p.Append(nil)); err != nil || !bytes.Equal(p.Addresses, q.Addresses) || p.Net != q.Net {
				t.Errorf("%+v becomes %+v, %v", p, q, err)
			}
		}
		if p, err := artnet.ParseTodDo(b); err == nil {
			if q, err := artnet.ParseTodDo(p.Append(nil)); err != nil || p != q {
				t.Errorf("%+v becomes %+v, %v", p, q, err)
			}
		}
		if p, err := artnet.ParseRdm(b); err == nil {
			if q, err := artnet.ParseRdm(p.Append(nil)); err != nil || !reflect.DeepEqual(p, q) {
				t.Errorf("%+v becomes %+v, %v", p, q, err)
			}
		}
	})
}
