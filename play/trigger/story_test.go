package trigger_test

import (
	"math"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/trigger"
	"lampblack/wire/artnet"
	"lampblack/wire/midi"
	"lampblack/wire/osc"
	"lampblack/wire/sacn"
)

// listOf makes triggers of pairs of name and line.
func listOf(t testing.TB, pairs ...string) (l trigger.List) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		l.Triggers = append(l.Triggers, trigger.Trigger{Name: pairs[i], From: parse(t, pairs[i+1])})
	}
	return l
}

// storyOf is what is heard of triggers while something is sent, in false time, each thing
// a word or two. Send waits until what it sent was judged.
func storyOf(t *testing.T, l trigger.List, f func(send func(b []byte), s *trigger.Set)) (heard []string, last []trigger.Status) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		w, c := newWire(), &cable{}
		o := trigger.OnPackets(trigger.Options{Heard: func(h trigger.Heard) { heard = append(heard, h.Name+" "+h.Text) }}, w.open)
		o = trigger.OnBoth(o, c.open)
		s, err := trigger.Open(t.Context(), l, o)
		if err != nil {
			t.Fatal(err)
		}
		synctest.Wait()
		f(func(b []byte) {
			if c.end != nil {
				c.send(b)
			} else {
				w.send(b)
			}
			synctest.Wait()
			time.Sleep(time.Millisecond)
		}, s)
		last = s.Status()
		s.Close()
	})
	return slices.DeleteFunc(heard, func(h string) bool {
		return strings.HasSuffix(h, "is listened to") || strings.Contains(h, "nobody sends")
	}), last
}

func wantStory(t *testing.T, what string, got []string, want string) {
	t.Helper()
	if g := strings.Join(got, ", "); g != want {
		t.Errorf("%s:\ngot  %s\nwant %s", what, g, want)
	}
}

// Notes are held from note-on to note-off, velocity 0 among it; running status and
// channels as MIDI 1.0 has them; controllers that end all notes end ours.
func TestNotes(t *testing.T) {
	on, off := midi.NoteOn(1, 60, 100), midi.NoteOff(1, 60)
	for what, c := range map[string]struct {
		line  string
		bytes [][]byte
		want  string
	}{
		"on and off":            {"notes m note 60", [][]byte{on, off}, "n is open, n closes, n fires, n opens"},
		"on twice":              {"notes m note 60", [][]byte{on, on, off, off}, "n is open, n closes, n fires, n opens"},
		"velocity 0":            {"notes m note 60", [][]byte{on, midi.NoteOn(1, 60, 0), on}, "n is open, n closes, n fires, n opens, n closes, n fires"},
		"running status":        {"notes m note 60", [][]byte{{0x91, 60}, {100, 61, 100}, {60, 0}}, "n is open, n closes, n fires, n opens"},
		"another note":          {"notes m note 60", [][]byte{midi.NoteOn(1, 61, 100), midi.NoteOff(1, 60)}, "n is open"},
		"its channel":           {"notes m note 60 channel 2", [][]byte{on}, "n is open, n closes, n fires"},
		"another channel":       {"notes m note 60 channel 3", [][]byte{on}, "n is open"},
		"all notes off":         {"notes m note 60", [][]byte{on, midi.Control(1, 123, 0)}, "n is open, n closes, n fires, n opens"},
		"all sound off":         {"notes m note 60", [][]byte{on, midi.Control(1, 120, 0)}, "n is open, n closes, n fires, n opens"},
		"its channel's alone":   {"notes m note 60 channel 2", [][]byte{on, midi.Control(2, 123, 0)}, "n is open, n closes, n fires"},
		"other controllers":     {"notes m note 60", [][]byte{on, midi.Control(1, 121, 0), midi.Control(1, 60, 0), midi.Program(1, 60), {0xE1, 60, 1}}, "n is open, n closes, n fires"},
		"key pressure is no on": {"notes m note 60", [][]byte{{0xA1, 60, 100}, {0xD1, 60}}, "n is open"},
	} {
		got, _ := storyOf(t, listOf(t, "n", c.line), func(send func([]byte), _ *trigger.Set) {
			for _, b := range c.bytes {
				send(b)
			}
		})
		wantStory(t, what, got, c.want)
	}
}

// Words of a pipe come in whatever pieces, with either line end; what is no word says
// nothing, however long.
func TestWords(t *testing.T) {
	l := listOf(t, "p", "pipe p", "q", "pipe p normally closed")
	got, last := storyOf(t, l, func(send func([]byte), _ *trigger.Set) {
		for _, text := range []string{"clo", "sed\r\n", "closed\nopen", "\n\n press \n", strings.Repeat("open", 1000) + "\n", "Closed\nclosed and more\n", "closed"} {
			send([]byte(text))
		}
	})
	wantStory(t, "words", got, "p is open, q is open, p closes, p fires, p opens, q closes, q fires, p is pressed, p fires, q is pressed, q fires")
	if last[0].Refused != 3 || last[1].Refused != 3 {
		t.Errorf("%+v", last)
	}
}

// A number or a truth says how a contact stands, anything else presses it; bundles and
// patterns are taken apart.
func TestOSC(t *testing.T) {
	say := func(address string, args ...any) osc.Packet { return &osc.Message{Address: address, Args: args} }
	const held = "d is open, d closes, d fires, d opens"
	for what, c := range map[string]struct {
		line    string
		packets []osc.Packet
		want    string
	}{
		"whole numbers":    {"osc 9 /d", []osc.Packet{say("/d", int32(1)), say("/d", int32(0))}, held},
		"large numbers":    {"osc 9 /d", []osc.Packet{say("/d", int64(1)), say("/d", int64(-5))}, held},
		"decimals":         {"osc 9 /d above 0.5 below 0.4", []osc.Packet{say("/d", float32(.5)), say("/d", float32(.51)), say("/d", .45), say("/d", .39)}, held},
		"truths":           {"osc 9 /d", []osc.Packet{say("/d", true), say("/d", true), say("/d", false)}, held},
		"no argument":      {"osc 9 /d", []osc.Packet{say("/d"), say("/d")}, "d is pressed, d fires, d is pressed, d fires"},
		"others":           {"osc 9 /d", []osc.Packet{say("/d", "0"), say("/d", nil), say("/d", osc.Impulse{})}, "d is pressed, d fires, d is pressed, d fires, d is pressed, d fires"},
		"a first argument": {"osc 9 /d", []osc.Packet{say("/d", int32(1), int32(0), "x")}, "d is open, d closes, d fires"},
		"no number":        {"osc 9 /d", []osc.Packet{say("/d", math.NaN())}, ""},
		"without end":      {"osc 9 /d", []osc.Packet{say("/d", math.Inf(1)), say("/d", float32(math.Inf(-1)))}, held},
		"another address":  {"osc 9 /d", []osc.Packet{say("/D", int32(1)), say("/d/d", int32(1)), say("/")}, ""},
		"a pattern":        {"osc 9 /d", []osc.Packet{say("/[cd]", int32(1)), say("/*", int32(0))}, held},
		"a bundle": {"osc 9 /d", []osc.Packet{&osc.Bundle{Time: osc.Now, Elements: []osc.Packet{say("/d", int32(1)),
			&osc.Bundle{Time: osc.Now, Elements: []osc.Packet{say("/d", int32(0)), say("/d", int32(1))}}}}}, held + ", d closes, d fires"},
	} {
		got, _ := storyOf(t, listOf(t, "d", c.line), func(send func([]byte), _ *trigger.Set) {
			for _, p := range c.packets {
				send(p.Append(nil))
			}
		})
		wantStory(t, what, got, c.want)
	}
}

// What counts of E1.31 is what its receivers take: the source of the highest priority,
// no preview, no late packet, no alternate START code; a source that says its last is
// lost at once.
func TestE131(t *testing.T) {
	d := func(change func(*sacn.Data)) []byte {
		p := sacn.Data{CID: [16]byte{1}, Source: "a", Priority: 100, Universe: 7, Slots: make([]byte, 24)}
		change(&p)
		return p.Append(nil)
	}
	level := func(sequence, level byte) []byte {
		return d(func(p *sacn.Data) { p.Sequence = sequence; p.Slots[11] = level })
	}
	for what, c := range map[string]struct {
		packets [][]byte
		want    string
	}{
		"levels":           {[][]byte{level(1, 0), level(2, 128), level(3, 129), level(4, 255), level(5, 100), level(6, 99)}, "d is open, d closes, d fires, d opens"},
		"found closed":     {[][]byte{level(1, 255), level(2, 0), level(3, 255)}, "d is closed, d is doubtful, d opens, d closes, d fires"},
		"late packets":     {[][]byte{level(9, 0), level(8, 255), level(9, 255), level(10, 0)}, "d is open"},
		"a lower priority": {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.CID[0] = 2; p.Priority = 99; p.Slots[11] = 255 })}, "d is open"},
		"a higher one":     {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.CID[0] = 2; p.Priority = 101; p.Slots[11] = 255 })}, "d is open, d closes, d fires"},
		"an equal one":     {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.CID[0] = 2; p.Slots[11] = 255 }), level(2, 0)}, "d is open, d closes, d fires"},
		"a preview":        {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.CID[0] = 2; p.Priority = 100; p.Preview = true; p.Slots[11] = 255 })}, "d is open"},
		"another universe": {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.Universe = 8; p.Slots[11] = 255 })}, "d is open"},
		"another START":    {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.Sequence = 2; p.Start = 0xDD; p.Slots[11] = 255 })}, "d is open"},
		"another slot":     {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.Sequence = 2; p.Slots[10], p.Slots[12] = 255, 255 })}, "d is open"},
		"too few slots":    {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.Sequence = 2; p.Slots = make([]byte, 11) })}, "d is open, d universe 7 comes with 11 slots, and slot 12 is none of them"},
		"its last":         {[][]byte{level(1, 0), d(func(p *sacn.Data) { p.Sequence = 2; p.Terminated = true }), level(3, 255)}, "d is open, d is closed, d is doubtful"},
	} {
		got, _ := storyOf(t, listOf(t, "d", "e131"+slotLine), func(send func([]byte), _ *trigger.Set) {
			for _, b := range c.packets {
				send(b)
			}
		})
		wantStory(t, what, got, c.want)
	}
}

// Art-Net alike: late packets do not count, a sequence of 0 has no order, and what is no
// ArtDmx is another matter.
func TestArtNet(t *testing.T) {
	level := func(sequence, level byte) []byte {
		d := artnet.Dmx{Sequence: sequence, PortAddress: 7, Slots: make([]byte, 12)}
		d.Slots[11] = level
		return d.Append(nil)
	}
	for what, c := range map[string]struct {
		packets [][]byte
		want    string
	}{
		"levels":       {[][]byte{level(1, 0), level(2, 129), level(3, 99)}, "d is open, d closes, d fires, d opens"},
		"late packets": {[][]byte{level(9, 0), level(8, 255), level(9, 255)}, "d is open"},
		"no order":     {[][]byte{level(0, 0), level(0, 255), level(0, 0)}, "d is open, d closes, d fires, d opens"},
		"others":       {[][]byte{level(1, 0), artnet.AppendSync(nil), (&artnet.Dmx{PortAddress: 8, Slots: slices.Repeat([]byte{255}, 12)}).Append(nil)}, "d is open"},
		"too few":      {[][]byte{(&artnet.Dmx{PortAddress: 7, Slots: make([]byte, 10)}).Append(nil)}, "d universe 7 comes with 10 slots, and slot 12 is none of them"},
	} {
		got, last := storyOf(t, listOf(t, "d", "artnet"+slotLine), func(send func([]byte), _ *trigger.Set) {
			for _, b := range c.packets {
				send(b)
			}
		})
		wantStory(t, what, got, c.want)
		if last[0].Refused != 0 {
			t.Errorf("%s: %+v", what, last)
		}
	}
}

// Several triggers listen in one place, each for its own; one socket, one port, one
// adapter has them all.
func TestSeveralInOnePlace(t *testing.T) {
	l := listOf(t, "a", "osc 9 /a", "b", "osc 9 /b", "ab", "osc 9 /a above 5")
	got, _ := storyOf(t, l, func(send func([]byte), _ *trigger.Set) {
		send((&osc.Message{Address: "/a", Args: []any{int32(3)}}).Append(nil))
		send((&osc.Message{Address: "/*", Args: []any{int32(9)}}).Append(nil))
	})
	wantStory(t, "osc", got, "a is open, a closes, a fires, ab is open, b is open, b closes, b fires, ab closes, ab fires")

	l = listOf(t, "low", "e131 universe 7 slot 12 above 50", "high", "e131 universe 7 slot 12 above 200", "other", "e131 universe 8 slot 1 above 0")
	send131 := e131Packets()
	got, last := storyOf(t, l, func(send func([]byte), _ *trigger.Set) {
		send(send131(0))
		send(send131(100))
		send(send131(250))
	})
	wantStory(t, "e131", got, "low is open, high is open, low closes, low fires, high closes, high fires")
	if last[2].Fault == "" || last[0].Fault != "" {
		t.Errorf("%+v", last)
	}

	l = listOf(t, "c", "notes m note 60", "d", "notes m note 62")
	got, _ = storyOf(t, l, func(send func([]byte), _ *trigger.Set) {
		send(midi.NoteOn(1, 62, 1))
		send(midi.NoteOn(1, 60, 1))
	})
	wantStory(t, "notes", got, "c is open, d is open, d closes, d fires, c closes, c fires")
}

// The first message of a button that is held counts, debounce or not: before it nothing
// was held.
func TestFirstMessageIsNotFound(t *testing.T) {
	for text, b := range map[string][]byte{
		"osc 9 /d":       (&osc.Message{Address: "/d", Args: []any{int32(1)}}).Append(nil),
		"notes m note 3": midi.NoteOn(0, 3, 1), "pipe p": []byte("closed\n"),
	} {
		l := listOf(t, "d", text)
		l.Triggers[0].Debounce = 20 * time.Millisecond
		got, _ := storyOf(t, l, func(send func([]byte), _ *trigger.Set) {
			send(b)
			time.Sleep(time.Second)
			synctest.Wait()
		})
		wantStory(t, text, got, "d is open, d closes, d fires")
	}
}

// A trigger that listens can be pressed as well, by whoever stands beside the machine.
func TestPressedBesides(t *testing.T) {
	l := listOf(t, "d", "osc 9 /d")
	l.Triggers[0].Rearm = time.Second
	got, _ := storyOf(t, l, func(send func([]byte), s *trigger.Set) {
		s.Press("d")
		synctest.Wait()
		send((&osc.Message{Address: "/d"}).Append(nil))
	})
	wantStory(t, "pressed", got, "d is pressed, d fires, d is pressed, d is deaf, as it fired just before")
}

// Whatever packets and bytes come, nothing panics, and what is held of them is bounded.
func FuzzSources(f *testing.F) {
	f.Add((&osc.Message{Address: "/d", Args: []any{int32(1)}}).Append(nil))
	f.Add(e131Packets()(200))
	f.Add(artPackets()(200))
	f.Add(midi.NoteOn(1, 60, 1))
	f.Add([]byte("closed\nopen\npress\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, text := range []string{"osc 9 /d", "e131" + slotLine, "artnet" + slotLine, "notes m note 60", "pipe p"} {
			from := parse(t, text)
			feed := trigger.NewFeed(trigger.List{Triggers: []trigger.Trigger{{Name: "d", From: from}}})
			feed.Take(from.Kind, b, netip.MustParseAddrPort("10.0.0.1:5"), time.Unix(1000, 0))
			if n := feed.Waiting(); n > 64 {
				t.Errorf("%s: %d edges wait", text, n)
			}
		}
	})
}
