package trigger_test

import (
	"fmt"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/trigger"
	"lampblack/wire/artnet"
	"lampblack/wire/osc"
)

// While one port is flooded, another trigger fires as if nothing were, the flood is read
// at its pace alone, and memory stays where it is.
func TestFloodStarvesNobody(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWire()
		l := listOf(t, "flooded", "osc 9 /d", "other", "page")
		s, err := trigger.Open(t.Context(), l, trigger.OnPackets(trigger.Options{}, w.open))
		if err != nil {
			t.Fatal(err)
		}
		on, off := (&osc.Message{Address: "/d", Args: []any{int32(1)}}).Append(nil), (&osc.Message{Address: "/d", Args: []any{int32(0)}}).Append(nil)
		stop, done, taken := make(chan struct{}), make(chan struct{}), 0
		go func() { // as fast as it is taken
			defer close(done)
			for {
				for _, b := range [][]byte{on, off} {
					select {
					case w.in <- b:
						taken++
					case <-stop:
						return
					}
				}
			}
		}()
		others := 0
		received := make(chan struct{})
		go func() {
			defer close(received)
			for f := range s.Fired() {
				if f.Name == "other" {
					others++
				}
			}
		}()
		var before, after runtime.MemStats
		const seconds = 3
		for i := range seconds {
			time.Sleep(time.Second)
			if i == 0 {
				runtime.GC()
				runtime.ReadMemStats(&before)
			}
			s.Press("other")
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		close(stop)
		<-done
		st := s.Status()
		s.Close()
		<-received
		if others != seconds || st[1].Fired != seconds || st[1].Crowded != 0 {
			t.Errorf("the other fired %d times, and was heard %d times: %+v", st[1].Fired, others, st[1])
		}
		// 200 packets in 10 ms, and what waits between.
		if most := seconds*100*200 + 2000; taken > most || taken < most/2 || st[0].Crowded == 0 {
			t.Errorf("%d packets were taken in %d s, want at most %d: %+v", taken, seconds, most, st[0])
		}
		if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 4<<20 {
			t.Errorf("the heap grew by %d octets", grown)
		}
	})
}

// Sources of a universe that are made up by the thousand are not all remembered.
func TestManySources(t *testing.T) {
	l := listOf(t, "d", "artnet"+slotLine)
	f := trigger.NewFeed(l)
	s := f.Slots()
	packet := artPackets()(50)
	now := time.Unix(1000, 0)
	for i := range 5000 {
		s.FromArt(packet, fmt.Sprintf("10.0.%d.%d:6454", i/250, i%250), now)
	}
	if n := s.ArtSources(7); n != 16 {
		t.Errorf("%d sources are remembered", n)
	}
	// Those that fell silent make room.
	s.FromArt(packet, "10.1.0.1:6454", now.Add(11*time.Second))
	if n := s.ArtSources(7); n != 1 {
		t.Errorf("%d sources are remembered", n)
	}
}

// Two sources of Art-Net count by the highest level of each slot, and one that falls
// silent gives way.
func TestArtSources(t *testing.T) {
	f := trigger.NewFeed(listOf(t, "d", "artnet"+slotLine))
	s, a, b := f.Slots(), artPackets(), artPackets()
	now := time.Unix(1000, 0)
	s.FromArt(a(0), "10.0.0.1:6454", now)
	s.FromArt(b(255), "10.0.0.2:6454", now)
	s.FromArt(a(0), "10.0.0.1:6454", now)
	if got := s.Level(); got != trigger.Closed {
		t.Errorf("it is %v", got)
	}
	s.FromArt(a(0), "10.0.0.1:6454", now.Add(11*time.Second))
	if got := s.Level(); got != trigger.Opened {
		t.Errorf("once the other is silent it is %v", got)
	}
	short := (&artnet.Dmx{PortAddress: 7, Slots: make([]byte, 10)}).Append(nil)
	s = f.Slots()
	s.FromArt(short, "10.0.0.1:6454", now)
	s.FromArt(short, "10.0.0.2:6454", now)
	if got := s.Level(); got != trigger.Unknown {
		t.Errorf("of a slot that nobody sends it is known that it is %v", got)
	}
}

// Packets that are dear to take get a fifth of one processor at most: a hostile network
// can make up hundreds of sources whose levels have to be compared.
func TestDearPackets(t *testing.T) {
	w := newWire()
	p, _ := w.open()
	busy, taken := time.Duration(0), 0
	go func() {
		for {
			select {
			case w.in <- []byte{1}:
			case <-w.now.closed:
				return
			}
		}
	}()
	begin := time.Now()
	f := trigger.NewFeed(listOf(t, "d", "osc 9 /d"))
	f.Read(p, func() {
		for since := time.Now(); time.Since(since) < 100*time.Microsecond; {
		}
		busy += 100 * time.Microsecond
		if taken++; taken == 200 {
			p.Close()
		}
	})
	all := time.Since(begin)
	if share := float64(busy) / float64(all); share > .3 {
		t.Errorf("in %v it was busy for %v, %.2f of it", all, busy, share)
	}
}
