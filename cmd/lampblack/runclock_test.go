package main

import (
	"testing"

	"lampblack/show"
	"lampblack/source"
)

// The soundtrack that is decoded ahead is that of the next piece which has one: standing
// looks and pieces without sound lie between.
func TestNextSound(t *testing.T) {
	ref := func(name string) source.Ref { return source.Ref{Name: name} }
	own := &show.Show{Bill: show.Bill{Soundtrack: ref("own.wav")}}
	e := &show.Evening{Steps: []show.Step{
		{OrderStep: &show.OrderStep{Standing: ref("preshow")}},
		{OrderStep: &show.OrderStep{Piece: ref("own")}, Show: own},
		{OrderStep: &show.OrderStep{Piece: ref("silent"), Cues: ref("silent.yaml")}},
		{OrderStep: &show.OrderStep{Standing: ref("bows")}},
		{OrderStep: &show.OrderStep{Piece: ref("encore"), Cues: ref("encore.yaml"), Soundtrack: ref("encore.wav")}},
	}}
	for from, want := range []int{1, 1, 4, 4, 4, -1} {
		if got := nextSound(e, from); got != want {
			t.Errorf("from step %d it is %d, want %d", from, got, want)
		}
	}
}
