package output

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/sacn"
)

// ANSI E1.31, clause 6.6.2: values that do not change go out three times, then
// every 800 to 1000 ms, with the sequence number going on.
func TestStillUniverse(t *testing.T) {
	for _, calls := range []string{"Send goes on", "Send stops"} {
		t.Run(calls, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s, f := testE131(t, "e131 multicast")
				defer s.Close()
				if calls == "Send goes on" {
					run(t, s, 10*time.Second, still(frameOf(1, 8, 200)))
				} else {
					s.Send([]Frame{frameOf(1, 8, 200)}, time.Now())
					time.Sleep(10 * time.Second)
				}
				data, at := only(t, f.taken())
				if len(data) < 3+9 || len(data) > 3+12 {
					t.Fatalf("%d packets in 10 s, want 3 and one every 0.8 to 1 s", len(data))
				}
				for i, d := range data {
					if d.Sequence != byte(i) || d.Slots[7] != 200 || d.Priority != 100 || d.Universe != 1 {
						t.Errorf("packet %d: %+v", i, d)
					}
					if i == 0 {
						continue
					}
					gap := at[i].Sub(at[i-1])
					if i < 3 && gap > 150*time.Millisecond {
						t.Errorf("repeat %d comes after %v", i, gap)
					}
					if i >= 3 && (gap < 800*time.Millisecond || gap > time.Second) {
						t.Errorf("keep-alive %d comes after %v, want 0.8 to 1 s", i, gap)
					}
				}
			})
		})
	}
}

// Every change leaves at once; the sequence is per universe.
func TestChangesLeaveAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		defer s.Close()
		run(t, s, 2*time.Second, func(i int) []Frame { return []Frame{frameOf(1, 512, byte(i)), frameOf(300, 24, 7)} })
		data, at := only(t, f.taken())
		var moving, quiet []sacn.Data
		for i, d := range data {
			if d.Universe == 300 {
				quiet = append(quiet, d)
				continue
			}
			if n := len(moving); n > 0 && at[i].Sub(at[0]) != time.Duration(n)*period {
				t.Errorf("frame %d leaves after %v", n, at[i].Sub(at[0]))
			}
			moving = append(moving, d)
		}
		if len(moving) != 88 || len(quiet) != 3+1 && len(quiet) != 3+2 {
			t.Fatalf("%d moving, %d quiet packets, want 88 and 4 or 5", len(moving), len(quiet))
		}
		for i, d := range moving {
			if d.Sequence != byte(i) || d.Slots[0] != byte(i) {
				t.Fatalf("packet %d: sequence %d, level %d", i, d.Sequence, d.Slots[0])
			}
		}
		if st := s.Stats(); st.Sent != 88 || st.Late != 0 || st.Dropped != 0 || st.LastError != "" {
			t.Errorf("%+v", st)
		}
	})
}

func TestGroupsAndPorts(t *testing.T) {
	for line, want := range map[string]string{
		"e131 multicast":                  "239.255.0.1:5568",
		"e131 multicast ipv6":             "[ff18::8300:1]:5568",
		"e131 192.168.1.20":               "192.168.1.20:5568",
		"e131 fe80::1%eth0 port 6000":     "[fe80::1%eth0]:6000",
		"e131 multicast map 1:300":        "239.255.1.44:5568",
		"e131 multicast map 1-4:300-303 ": "239.255.1.44:5568",
	} {
		synctest.Test(t, func(t *testing.T) {
			s, f := testE131(t, line)
			defer s.Close()
			s.Send([]Frame{frameOf(1, 1, 1)}, time.Now())
			if got := f.taken()[0].to.String(); got != want {
				t.Errorf("%s: sent to %s, want %s", line, got, want)
			}
		})
	}
}

// Clause 8 and appendix A: the list of universes every ten seconds, to the
// group of universe 64214.
func TestDiscovery(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		defer s.Close()
		run(t, s, 35*time.Second, still(frameOf(7, 1, 1), frameOf(2, 1, 1)))
		var at []time.Time
		for _, p := range f.taken() {
			if sacn.KindOf(p.payload) != sacn.KindDiscovery {
				continue
			}
			d, err := sacn.ParseDiscovery(p.payload)
			if err != nil || p.to.String() != "239.255.250.214:5568" || !slices.Equal(d.Universes, []uint16{2, 7}) {
				t.Errorf("to %v: %+v, %v", p.to, d, err)
			}
			at = append(at, p.at)
		}
		if len(at) != 4 {
			t.Fatalf("%d discovery packets in 35 s, want 4", len(at))
		}
		for i := 1; i < len(at); i++ {
			if at[i].Sub(at[i-1]) != 10*time.Second {
				t.Errorf("%v apart, want 10 s", at[i].Sub(at[i-1]))
			}
		}
	})
}

// Two outputs of one source announce one list of all its universes, and what
// one no longer sends is announced no more by the other.
func TestDiscoveryOfTwo(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		shared := &Announced{}
		a, one := testE131With(t, "e131 multicast", Options{Announced: shared})
		b, two := testE131With(t, "e131 192.0.2.7", Options{Announced: shared})
		defer b.Close()
		for range 6 { // a second apart, as the streams live
			if err := errors.Join(a.Send([]Frame{frameOf(7, 1, 1)}, time.Now()), b.Send([]Frame{frameOf(2, 1, 1), frameOf(9, 1, 1)}, time.Now())); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Second)
		}
		for name, f := range map[string]*fakeSocket{"multicast": one, "unicast": two} {
			if got := lastList(t, f); !slices.Equal(got, []uint16{2, 7, 9}) {
				t.Errorf("%s announces %v, want all three universes", name, got)
			}
		}
		if err := a.Close(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(11 * time.Second)
		if got := lastList(t, two); !slices.Equal(got, []uint16{2, 9}) {
			t.Errorf("after the other has closed: %v", got)
		}
	})
}

// lastList is the last list of universes that went out.
func lastList(t *testing.T, f *fakeSocket) []uint16 {
	t.Helper()
	var out []uint16
	for _, p := range f.taken() {
		if sacn.KindOf(p.payload) != sacn.KindDiscovery {
			continue
		}
		d, err := sacn.ParseDiscovery(p.payload)
		if err != nil {
			t.Fatal(err)
		}
		out = d.Universes
	}
	return out
}

// Clause 6.2.6: three packets with Stream_Terminated for each universe, after
// the last values were sent three times.
func TestCloseTerminates(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		run(t, s, time.Second, still(frameOf(1, 4, 9), frameOf(2, 4, 9)))
		f.taken()
		s.Send([]Frame{frameOf(1, 4, 0)}, time.Now()) // lights out, once
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		data, _ := only(t, f.taken())
		var levels, ends = map[uint16]int{}, map[uint16]int{}
		last := map[uint16]byte{}
		for _, d := range data {
			if seq, ok := last[d.Universe]; ok && d.Sequence != seq+1 {
				t.Errorf("universe %d: sequence %d after %d", d.Universe, d.Sequence, seq)
			}
			last[d.Universe] = d.Sequence
			if d.Terminated {
				ends[d.Universe]++
			} else if levels[d.Universe]++; ends[d.Universe] > 0 {
				t.Errorf("universe %d: levels after termination", d.Universe)
			}
			if d.Universe == 1 && d.Slots[0] != 0 {
				t.Errorf("universe 1 ends with %d", d.Slots[0])
			}
		}
		if ends[1] != 3 || ends[2] != 3 || levels[1] != 3 {
			t.Errorf("levels %v, terminations %v, want 3 of each for universe 1", levels, ends)
		}
		if err := s.Send(nil, time.Now()); err == nil {
			t.Error("Send after Close: no error")
		}
		if s.Close() != nil {
			t.Error("second Close: an error")
		}
	})
}

// Clause 11: the synchronization packet follows the data after a moment.
func TestSync(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast sync 7962")
		defer s.Close()
		run(t, s, 10*period, func(i int) []Frame { return []Frame{frameOf(1, 4, byte(i)), frameOf(2, 4, byte(i))} })
		packets := slices.DeleteFunc(f.taken(), func(p sentPacket) bool { return sacn.KindOf(p.payload) == sacn.KindDiscovery })
		if len(packets) != 30 {
			t.Fatalf("%d packets, want 10 times two of data and one of synchronization", len(packets))
		}
		for i := range 10 {
			three := packets[3*i : 3*i+3]
			data, _ := only(t, three[:2])
			sync, err := sacn.ParseSync(three[2].payload)
			if err != nil || sync.Address != 7962 || sync.Sequence != byte(i) || three[2].to.String() != "239.255.31.26:5568" {
				t.Errorf("synchronization %d to %v: %+v, %v", i, three[2].to, sync, err)
			}
			if data[0].SyncAddress != 7962 || three[2].at.Sub(three[1].at) != syncDelay {
				t.Errorf("data %d: address %d, synchronization %v later", i, data[0].SyncAddress, three[2].at.Sub(three[1].at))
			}
		}
	})
}

func TestUniversesAndMap(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast universes 1-3,9 map 2:9,9:2 priority 150 preview")
		defer s.Close()
		s.Send([]Frame{frameOf(1, 1, 1), frameOf(2, 1, 2), frameOf(4, 1, 4), frameOf(9, 1, 9)}, time.Now())
		data, _ := only(t, f.taken())
		got := map[uint16]byte{}
		for _, d := range data {
			got[d.Universe] = d.Slots[0]
			if d.Priority != 150 || !d.Preview {
				t.Errorf("priority %d, preview %v", d.Priority, d.Preview)
			}
		}
		if want := map[uint16]byte{1: 1, 9: 2, 2: 9}; !reflect.DeepEqual(got, want) {
			t.Errorf("levels by universe %v, want %v", got, want)
		}
	})
}

// A network that is down makes Send fail, even while nothing changes; after
// Reopen the sequence goes on and the values are repeated.
func TestReopen(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		defer s.Close()
		values := []Frame{frameOf(1, 4, 9)}
		run(t, s, time.Second, still(values...))
		sent, _ := only(t, f.taken())
		f.setFail(errCable)
		time.Sleep(2 * time.Second)
		if err := s.Send(values, time.Now()); err == nil || !strings.Contains(err.Error(), "network is down") {
			t.Errorf("Send on a dead network: %v", err)
		}
		f.setFail(nil)
		if err := s.Reopen(); err != nil {
			t.Fatal(err)
		}
		run(t, s, time.Second, still(values...))
		data, _ := only(t, f.taken())
		if len(data) < 3 || data[0].Sequence <= sent[len(sent)-1].Sequence {
			t.Errorf("%d packets after it came back, the first with sequence %d", len(data), data[0].Sequence)
		}
	})
}

func TestNoAllocationPerFrame(t *testing.T) {
	s, f := testE131(t, "e131 multicast")
	defer s.Close()
	frames := []Frame{frameOf(1, 512, 0), frameOf(2, 512, 0)}
	s.socket = discard{}
	now := time.Now()
	s.Send(frames, now)
	n := testing.AllocsPerRun(100, func() {
		frames[0].Slots[3]++
		s.Send(frames, now)
	})
	if n != 0 {
		t.Errorf("%v allocations a frame, want none", n)
	}
	_ = f
}

type discard struct{}

func (discard) send([]*datagram) error { return nil }
func (discard) Close() error           { return nil }

// Whatever universes come in whatever order, packets of a universe carry its own
// values, under its own number and sequence.
func TestUniversesInAnyOrder(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testE131(t, "e131 multicast")
		defer s.Close()
		rng := rand.New(rand.NewPCG(13, 1))
		for i := range 200 {
			var frames []Frame
			for _, u := range rng.Perm(6)[:1+rng.IntN(6)] {
				frames = append(frames, frameOf(uint16(u+1), 2, byte(10*(u+1)+i%10)))
			}
			s.Send(frames, time.Now())
			time.Sleep(25 * time.Millisecond)
		}
		data, _ := only(t, f.taken())
		next, seen := map[uint16]byte{}, 0
		for _, d := range data {
			if int(d.Slots[1])/10 != int(d.Universe) {
				t.Fatalf("universe %d carries %v", d.Universe, d.Slots)
			}
			if want, ok := next[d.Universe]; ok && d.Sequence != want {
				t.Fatalf("universe %d has the sequence number %d, want %d", d.Universe, d.Sequence, want)
			}
			next[d.Universe] = d.Sequence + 1
			seen++
		}
		if len(next) != 6 || seen < 500 {
			t.Errorf("%d packets of %d universes", seen, len(next))
		}
	})
}
