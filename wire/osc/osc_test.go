package osc_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net"
	"os/exec"
	"reflect"
	"strings"
	"testing"
	"time"

	"lampblack/wire/osc"
	"lampblack/wire/outside"

	"pgregory.net/rapid"
)

// Written by hand from the text of OSC 1.0, sections "OSC Messages" and "OSC
// Bundles". The example of the standard's companion text, "/oscillator/4/
// frequency" with 440.0, is the third.
const (
	messageHex = "2f6375652f676f00 2c69736600000000 0000000c 696e74726f000000 3f000000"
	bundleHex  = "2362756e646c6500 0000000000000001 00000010 2f6375652f676f00 2c690000 0000000c 00000010 2f6c6576656c0000 2c660000 3e800000"
	freqHex    = "2f6f7363 696c6c61 746f722f 342f6672 65717565 6e637900 2c660000 43dc0000"
)

func packets() map[string]osc.Packet {
	return map[string]osc.Packet{
		messageHex: &osc.Message{Address: "/cue/go", Args: []any{int32(12), "intro", float32(0.5)}},
		bundleHex: &osc.Bundle{Time: osc.Now, Elements: []osc.Packet{
			&osc.Message{Address: "/cue/go", Args: []any{int32(12)}},
			&osc.Message{Address: "/level", Args: []any{float32(0.25)}}}},
		freqHex: &osc.Message{Address: "/oscillator/4/frequency", Args: []any{float32(440)}},
	}
}

func TestPackets(t *testing.T) {
	for hex, p := range packets() {
		want := outside.Hex(t, hex)
		if got := p.Append(nil); !bytes.Equal(got, want) {
			t.Errorf("got  % x\nwant % x", got, want)
		}
		if got, err := osc.Parse(want); err != nil || !reflect.DeepEqual(got, p) {
			t.Errorf("%s: parsed %+v, %v", hex, got, err)
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, c := range []struct{ hex, says string }{
		{"", "without a NUL"},
		{"2f6100", "multiple of 4"},
		{"2f616161", "without a NUL"},
		{"61000000 2c000000", "want a leading /"},
		{"2f200000 2c000000", "want printable ASCII"},
		{"2f610001 2c000000", "padding"},
		{"2f610000", "types: got 0 octets"},
		{"2f610000 69000000", "leading comma"},
		{"2f610000 2c690000", "type i: got 0 octets"},
		{"2f610000 2c780000", "type: got 'x'"},
		{"2f610000 2c000000 00000000", "after the last argument"},
		{"2f610000 2c620000 00000008 00000000", "blob: length: got 8"},
		{"2362756e646c6500 00000000", "time: got 4"},
		{"2362756e646c6500 0000000000000001 00000008 2f610000", "size: got 8"},
		{"2362756e646c6500 0000000000000002 00000010 2362756e646c6500 0000000000000001", "at least the outer"},
	} {
		if _, err := osc.Parse(outside.Hex(t, c.hex)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want %q in it", c.hex, err, c.says)
		}
	}
	deep := &osc.Bundle{Time: 1}
	b := deep.Append(nil)
	for range 10000 {
		b = append(append(outside.Hex(t, "2362756e646c6500 0000000000000001"), byte(len(b)>>24), byte(len(b)>>16), byte(len(b)>>8), byte(len(b))), b...)
	}
	if _, err := osc.Parse(b); err == nil || !strings.Contains(err.Error(), "within each other") {
		t.Errorf("10000 bundles deep: %.80v", err)
	}
	if err := (&osc.Message{Address: "/a", Args: []any{7}}).Check(); err == nil || !strings.Contains(err.Error(), "got a int") {
		t.Errorf("an int: %v", err)
	}
}

// 1970 is 2 208 988 800 s after 1900 (RFC 5905, figure 4).
func TestTime(t *testing.T) {
	if got := osc.At(time.Unix(0, 500_000_000)); got != osc.Time(2_208_988_800<<32+1<<31) {
		t.Errorf("got %#x", uint64(got))
	}
	rapid.Check(t, func(t *rapid.T) {
		want := time.Unix(rapid.Int64Range(-2_000_000_000, 2_000_000_000).Draw(t, "s"), rapid.Int64Range(0, 999_999_999).Draw(t, "ns")).UTC()
		if got := osc.At(want).Time(); !got.Equal(want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

func arg() *rapid.Generator[any] {
	return rapid.OneOf(
		rapid.Map(rapid.Int32(), func(v int32) any { return v }),
		rapid.Map(rapid.Float32(), func(v float32) any { return v }),
		rapid.Map(rapid.StringMatching(`[ -~]{0,9}`), func(v string) any { return v }),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 1, 9), func(v []byte) any { return v }),
		rapid.Map(rapid.Int64(), func(v int64) any { return v }),
		rapid.Map(rapid.Float64(), func(v float64) any { return v }),
		rapid.Map(rapid.Uint64(), func(v uint64) any { return osc.Time(v) }),
		rapid.Map(rapid.Bool(), func(v bool) any { return v }),
		rapid.SampledFrom([]any{nil, osc.Impulse{}}),
	)
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &osc.Message{Address: rapid.StringMatching(`/[a-z/*?]{0,9}`).Draw(t, "address"), Args: rapid.SliceOfN(arg(), 1, 5).Draw(t, "args")}
		b := &osc.Bundle{Time: 7, Elements: []osc.Packet{m, &osc.Bundle{Time: 8, Elements: []osc.Packet{m, m}}}}
		got, err := osc.Parse(b.Append(nil))
		if err != nil || !reflect.DeepEqual(got, osc.Packet(b)) {
			t.Fatalf("got %+v, %v", got, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for hex := range packets() {
		f.Add(outside.Hex(f, hex))
	}
	f.Add((&osc.Message{Address: "/a", Args: []any{[]byte{1}, true, false, nil, osc.Impulse{}, int64(1), 2.0, osc.Now}}).Append(nil))
	f.Fuzz(func(t *testing.T, b []byte) {
		if p, err := osc.Parse(b); err == nil && !bytes.Equal(p.Append(nil), b) {
			t.Errorf("% x encodes to % x", b, p.Append(nil))
		}
	})
}

func TestTsharkDissects(t *testing.T) {
	got := outside.Explain(t, 53000, [][]byte{outside.Hex(t, messageHex), outside.Hex(t, bundleHex)}, "osc", "--enable-heuristic", "osc_udp")
	for _, want := range []string{"Message: /cue/go ,isf", "Int32: 12", "String: intro", "Float: 0.5", "Timetag: Immediate", "Message: /level ,f", "Float: 0.25"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

func TestNodeReadsPackets(t *testing.T) {
	all := &osc.Message{Address: "/all", Args: []any{int32(-5), float32(0.5), "text", []byte{1, 2, 3}, true, false, nil, 2.25}}
	out := outside.Node(t, "osc-min", `
const p = mod.fromBuffer(input);
console.log(JSON.stringify({address: p.address, args: p.args.map(a => [a.type, a.value instanceof Uint8Array || a.value instanceof DataView ? 'bytes' : a.value ?? null])}));`, all.Append(nil))
	var got struct {
		Address string
		Args    [][]any
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	want := "[[integer -5] [float 0.5] [string text] [blob bytes] [true true] [false false] [null <nil>] [double 2.25]]"
	if got.Address != "/all" || fmt.Sprint(got.Args) != want {
		t.Errorf("got %v %v, want %s", got.Address, got.Args, want)
	}
}

// oscdump of liblo prints what it hears on a port.
func TestOscdumpHears(t *testing.T) {
	outside.Need(t, "liblo-tools", "oscdump")
	probe, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := probe.LocalAddr().(*net.UDPAddr).Port
	probe.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, "oscdump", "-L", fmt.Sprint(port))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	conn, err := net.Dial("udp", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	// It may take a moment to listen: send until a line comes.
	heard := make(chan string, 1)
	go func() {
		b := make([]byte, 200)
		n, _ := io.ReadAtLeast(out, b, 10)
		heard <- string(b[:n])
	}()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case got := <-heard:
			cancel()
			cmd.Wait()
			if !strings.Contains(got, `/cue/go isf 12 "intro" 0.500000`) {
				t.Errorf("oscdump printed %q", got)
			}
			return
		case <-tick.C:
			conn.Write(outside.Hex(t, messageHex)) // refused until it listens
		}
	}
}

func TestFloatBits(t *testing.T) {
	nan := math.Float32frombits(0x7FC00001)
	m := &osc.Message{Address: "/n", Args: []any{nan}}
	p, err := osc.Parse(m.Append(nil))
	if err != nil || math.Float32bits(p.(*osc.Message).Args[0].(float32)) != 0x7FC00001 {
		t.Errorf("a NaN's bits changed: %+v, %v", p, err)
	}
}
