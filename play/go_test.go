package play

import (
	"context"
	"math/rand/v2"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/line"
	"lampblack/show"
)

// concertFiles is the walk with sound: pieces whose soundtracks have marked spans and waits.
func concertFiles(zones bool) fstest.MapFS {
	files := fstest.MapFS{}
	for name, text := range walkFiles {
		if (name == "zones.yaml") == zones || name != "zones.yaml" && name != "order.yaml" || name == "order.yaml" && !zones {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	for name, text := range map[string]string{
		"deep.yaml":   "cues:\n  - {cue: 1, at: 0:01, look: glow, up: 2 s}\n  - {cue: 2, at: 0:12, look: pearls, up: 3 s}\nwaits: [{from: 0:05, to: 0:07.5, usually: 5 s, at most: 20 s}, {from: 0:09, to: 0:10, until: after 4 s}]\n",
		"opens.yaml":  "cues:\n  - {cue: 1, at: 0:00, look: pearls, up: 3 s}\n  - {cue: 2, at: 0:21, look: moon, up: 2 s}\nwaits: [{at: 0:20, usually: 5 s, at most: 30 s}]\n",
		"grotto.yaml": "order:\n  - {standing: rest, look: dim, up: 2 s, until: trigger door, at most: 12 h}\n  - {piece: deep, cues: deep.yaml, soundtrack: deep.wav}\n  - {standing: after, look: moon, up: 1 s, until: after 6 s}\n",
		"gate.yaml":   "order:\n  - {standing: closed, look: dim, up: 1 s, until: after 15 s}\n  - {piece: opens, cues: opens.yaml, soundtrack: opens.wav}\n  - {standing: open, look: glow, up: 4 s, at most: 1 h}\n  - {piece: shuts, cues: shuts.yaml, soundtrack: shuts.wav}\n",
		"order.yaml":  "order:\n  - {standing: preshow, look: dim, up: 2 s, usually: 10 s, at most: 1 min}\n  - {piece: one, cues: deep.yaml, soundtrack: deep.wav}\n  - {standing: interval, look: glow, up: 3 s, usually: 10 s, at most: 1 min}\n  - {piece: two, cues: opens.yaml, soundtrack: opens.wav}\n  - {standing: blue, look: moon, up: 1 s, until: after 8 s}\n  - {piece: three, cues: shuts.yaml, soundtrack: shuts.wav}\n  - {standing: bows, look: pearls, up: 1 s, at most: 1 min}\n",
	} {
		if _, ok := files[name]; ok {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	return files
}

// concertOf is the place of an evening, or of zones, of those pieces.
func concertOf(t *testing.T, zones bool) *show.Place {
	t.Helper()
	f, faults := show.Read(concertFiles(zones))
	if faults.Err() != nil && zones {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	if !zones {
		e, faults := s.Evening(f.Order, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		return s.Alone(e)
	}
	p, faults := s.Place(f.Zones, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return p
}

// heard is a soundtrack that counts what it was told.
type heard struct {
	*Sound
	told *int
}

func (h heard) Run(now time.Time, from time.Duration) { *h.told++; h.Sound.Run(now, from) }
func (h heard) Hold(now time.Time)                    { *h.told++; h.Sound.Hold(now) }
func (h heard) RunAfter(now time.Time, from time.Duration, passes []int) {
	*h.told++
	h.Sound.RunAfter(now, from, passes)
}

// Go pressed 1,000 times at random in running shows, a person holding, freezing and stopping
// in between: unless something waits, or is held, the sound is told nothing, its position
// goes on as it did, and the step is the same.
func TestGoMovesNoSoundUnlessACueWaits(t *testing.T) {
	ten := tenCues(t)
	places := map[string]*show.Place{"one piece": ten.Alone(nil), "an evening": concertOf(t, false), "zones": concertOf(t, true)}
	pressed, idle := 0, 0
	for name, p := range places {
		for seed := range uint64(4) {
			synctest.Test(t, func(t *testing.T) {
				rng := rand.New(rand.NewPCG(seed, 136))
				told := 0
				on := speakersOn(t, &speaker{rate: 1000, channels: 4, ahead: 70})
				defer on.Close()
				place := course.NewPlace(p, nil, func(zone int) course.Options {
					return course.Options{Stays: name == "one piece", Open: func(step int) (clock.Clock, time.Duration, error) {
						s := p.Zones[zone].Evening.Steps[step].Show
						to := line.Channels{First: 2*zone + 1, Last: 2*zone + 2}
						if err := on.take(to); err != nil {
							return nil, 0, err
						}
						track := counting(1000, int(s.Length/time.Millisecond)+40_000)
						return heard{on.play(wound(track, course.Loops(s)...), to), &told}, 0, nil
					}}
				})
				defer place.Close()
				if err := place.Begin(time.Now(), evening.State{}, nil); err != nil {
					t.Fatal(err)
				}
				for n := 0; n < 112; {
					time.Sleep(time.Duration(rng.Int64N(int64(900 * time.Millisecond))))
					now := time.Now()
					if over, err := place.Tick(now); over || err != nil {
						return
					}
					synctest.Wait()
					place.Trigger(now, []string{"door", "stone", "no"}[rng.IntN(3)])
					z := place.Zones[rng.IntN(len(place.Zones))]
					if do := rng.IntN(40); do < 5 {
						z.Do(now, []course.Action{course.Hold, course.LightsUp, course.Freeze, course.Unfreeze, course.StopAll}[do], 0)
						continue
					}
					before := z.Status(now)
					orders := told
					z.Do(now, course.Go, 0)
					_, _ = place.Settle(now)
					after := z.Status(now)
					n++
					pressed++
					if before.Waits || before.State.Held || before.State.LightsUp {
						continue
					}
					idle++
					if told != orders || before.State.Step != after.State.Step || before.State.In != after.State.In {
						t.Fatalf("%s, seed %d, go %d: from %+v to %+v, and the sound was told %d things", name, seed, n, before.State, after.State, told-orders)
					}
				}
			})
		}
	}
	if pressed < 1000 || idle < 300 {
		t.Errorf("go was pressed %d times, %d of them where nothing waited", pressed, idle)
	}
}
