package draft

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestReadWishReportsEverything(t *testing.T) {
	_, faults := ReadWish("draft.yaml", []byte(`
cues per minute: -3
cues: -1
least apart: 100 ms
sections:
  - {from: 0:30, mood: jolly}
  - {from: 0:10, mood: calm}
  - {mood: calm, lok: x}
`))
	all := ""
	for _, f := range faults {
		all += f.Error() + "\n"
	}
	for _, want := range []string{"per minute", "fewer than none", "three times in a second", "none of the words", "order of time", "from", "lok"} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing is said of %q in\n%s", want, all)
		}
	}
}

func TestUnknownLooksAreReported(t *testing.T) {
	w, _ := ReadWish("draft.yaml", []byte("voice: nobody\nhush: drk\nsections:\n  - {from: 0:10, look: lampp lit}\n"))
	track, err := lantern()
	if err != nil {
		t.Fatal(err)
	}
	_, faults, _ := Draft(t.Context(), track, unwritten(t), Options{Wish: w})
	if len(faults) != 3 || !strings.Contains(faults[2].Error()+faults[1].Error()+faults[0].Error(), "lamp lit") {
		t.Errorf("faults %v", faults)
	}
}

// The casting equals brute force on 200 random problems.
func TestCastingAgainstEnumeration(t *testing.T) {
	for seed := range uint64(200) {
		rnd := rand.New(rand.NewPCG(seed, 3))
		labels, looks := 1+rnd.IntN(6), 1+rnd.IntN(5)
		c := &casting{labels: make([]string, labels), beside: make([][]int, labels)}
		for i := range labels {
			row := make([]float64, looks)
			for j := range row {
				row[j] = rnd.Float64()
				if rnd.IntN(8) == 0 && j > 0 {
					row[j] = math.Inf(1)
				}
			}
			c.cost = append(c.cost, row)
			c.beside[i] = make([]int, labels)
			for j := range i {
				c.beside[j][i] = rnd.IntN(3)
			}
		}
		got, proven := c.solve()
		if want := c.everyCast(nil); !proven || c.price(got) > want+1e-9 {
			t.Errorf("seed %d: cost %v, the least is %v, proven %v", seed, c.price(got), want, proven)
		}
	}
}

// price is the cost of a whole casting, by the definition.
func (c *casting) price(looks []int) float64 {
	cost := 0.0
	for i, look := range looks {
		cost += c.cost[i][look]
		for j := range i {
			if looks[j] == look {
				cost += sameBeside * float64(c.beside[j][i])
			}
			if j == i-1 && looks[j] > look {
				cost += outOfOrder
			}
		}
	}
	return cost
}

func (c *casting) everyCast(looks []int) float64 {
	if len(looks) == len(c.labels) {
		return c.price(looks)
	}
	best := math.Inf(1)
	for look := range c.cost[0] {
		best = min(best, c.everyCast(append(looks[:len(looks):len(looks)], look)))
	}
	return best
}

func FuzzReadWish(f *testing.F) {
	f.Add([]byte("cues per minute: 14\nsections:\n  - {from: 0:03, mood: still, look: night falls}\n  - {from: 0:28, mood: calm, accent: bell}"))
	f.Add([]byte("cues: 3\nvoice: x\nsections:\n  - {from: 9:99}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		w, _ := ReadWish("draft.yaml", data)
		for i := 1; i < len(w.Sections); i++ {
			if w.Sections[i].From <= w.Sections[i-1].From {
				t.Error("sections are not in order")
			}
		}
		ReadDecisions("spotting.yaml", data)
	})
}
