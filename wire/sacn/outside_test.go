package sacn_test

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"
	"testing"

	"lampblack/wire/outside"
	"lampblack/wire/sacn"
)

// tshark's ACN dissector is off by default and shows no levels by default.
// Its field acn.dmx.reserved is the synchronization address. It does not know
// synchronization and discovery packets: the goldens hold those.
func TestTsharkDissectsData(t *testing.T) {
	d1, d2, d3 := eight(), full(), terminated()
	d3.Preview, d3.ForceSync, d3.SyncAddress, d3.Priority, d3.Universe = true, true, 7962, 200, 63999
	packets := [][]byte{d1.Append(nil), d2.Append(nil), d3.Append(nil)}
	lines := outside.Dissect(t, sacn.Port, packets,
		[]string{"--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE"},
		"acn.preamble_size", "acn.cid", "acn.dmx.source_name", "acn.dmx.priority", "acn.dmx.reserved",
		"acn.dmx.seq_number", "acn.dmx.option_s", "acn.dmx.option_p", "acn.dmx.universe", "acn.dmx.count", "acn.dmx.start_code2", "_ws.malformed")
	const id = "16\t0a1b2c3d-4e5f-4678-899a-abbccddeeff0\tE1.31 check\t"
	want := []string{
		id + "100\t0\t7\t0\t0\t1\t9\t0\t",
		id + "100\t0\t8\t0\t0\t1\t513\t0\t",
		id + "200\t7962\t9\t1\t1\t63999\t9\t0\t",
	}
	for i := range want {
		if lines[i] != want[i] {
			t.Errorf("packet %d:\ngot  %q\nwant %q", i, lines[i], want[i])
		}
	}
}

// The levels themselves, as tshark prints them: 20 to a row after a heading
// row, in hex, ".." for 0.
func TestTsharkReadsEveryLevel(t *testing.T) {
	d := full()
	text := outside.Dissect(t, sacn.Port, [][]byte{d.Append(nil)},
		[]string{"--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-o", "acn.dmx_display_view:hex"}, "acn.dmx.data")[0]
	var got []byte
	for _, row := range strings.Split(text, ",")[1:] {
		_, levels, _ := strings.Cut(row, ":")
		for _, word := range strings.Fields(strings.ReplaceAll(levels, "|", "")) {
			v, err := strconv.ParseUint(strings.ReplaceAll(word, "..", "0"), 16, 8)
			if err != nil {
				t.Fatalf("%q: %v", row, err)
			}
			got = append(got, byte(v))
		}
	}
	if !bytes.Equal(got, d.Slots) {
		t.Errorf("tshark reads % x", got)
	}
}

// The npm module sacn is a reader of E1.31 data packets written by others. Its
// payload leaves out slots of level 0 and gives the rest in percent.
func TestNodeReadsData(t *testing.T) {
	d := full()
	out := outside.Node(t, "sacn", `
const p = new mod.Packet(Buffer.from(input));
console.log(JSON.stringify({universe: p.universe, sequence: p.sequence, priority: p.priority,
  source: p.sourceName, cid: p.cid.toString('hex'), count: p.propertyValueCount, payload: p.payload}));`, d.Append(nil))
	var got struct {
		Universe, Sequence, Priority, Count int
		Source, CID                         string
		Payload                             map[string]float64
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if got.Universe != 1 || got.Sequence != 8 || got.Priority != 100 || got.Count != 513 ||
		got.Source != "E1.31 check" || got.CID != cidHex {
		t.Errorf("got %+v", got)
	}
	for i, v := range d.Slots {
		if percent := got.Payload[strconv.Itoa(i+1)]; percent-float64(v)/2.55 > .006 || float64(v)/2.55-percent > .006 {
			t.Errorf("slot %d: %v %%, want %d of 255", i+1, percent, v)
		}
	}
}
