package soundtrack

import (
	_ "embed"
	"math"
	"time"

	"lampblack/soundtrack/net"
)

// beatBytes is the network that tells beats, and first beats of bars, from other rises;
// soundtrack/train wrote it.
//
//go:embed beat.net
var beatBytes []byte

var beatNet = func() *net.Dilated {
	n, err := net.ReadDilated(beatBytes)
	if err != nil || n.Inputs != rhythmInputs || n.Outputs != 2 {
		panic("soundtrack: beat.net does not fit this program")
	}
	return n
}()

// activation is how likely a beat, and the first beat of a bar, is at each step of 20 ms, with
// the rows that it was told from.
type activation struct {
	beat, first []float32
	in          [][]float32
}

// activate evaluates a network's two logits.
func activate(n *net.Dilated, in [][]float32) activation {
	if len(in[0]) == 0 {
		return activation{}
	}
	out := n.Run(in)
	for _, row := range out {
		for i, v := range row {
			row[i] = float32(1 / (1 + math.Exp(-float64(v))))
		}
	}
	return activation{out[0], out[1], in}
}

// Counted counts what Rhythm gave by a network that is being taught.
func Counted(n *net.Dilated, in [][]float32) (beats []time.Duration, first []bool) {
	a := activate(n, in)
	for _, s := range countBeats(a.beat) {
		beats = append(beats, time.Duration(s)*2*hop)
	}
	for _, place := range a.bars(beats) {
		first = append(first, place == 1)
	}
	return beats, first
}
