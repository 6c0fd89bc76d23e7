package begin

import "lampblack/demo"

// Demo is an example show that can be written and opened.
type Demo struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Says  string `json:"says"`
	Dir   string `json:"dir"` // the name of its folder, if none is said
}

// demos are the examples, in words.
var demos = map[string][2]string{
	demo.Fish.Name:    {"The Lantern Fish", "a black-light puppet play in a village hall, seven minutes to a soundtrack"},
	demo.Evening.Name: {"Three Pieces by the Sea", "an evening: people come in, three pieces, an interval, bows"},
	demo.Walk.Name:    {"The Way Down", "a walk through a corridor and two caves, which opens by itself"},
	demo.Dance.Name:   {"The Harbour Dance", "a minute of light that moves by itself"},
}

// Demos lists the examples.
func Demos() []Demo {
	var out []Demo
	for _, d := range demo.Demos() {
		words := demos[d.Name]
		out = append(out, Demo{d.Name, words[0], words[1], d.Dir})
	}
	return out
}
