package drawing_test

import (
	"fmt"

	"lampblack/plate/drawing"
)

func Example() {
	d := drawing.New(320, 80, "A lamp and its aim")
	unit := &drawing.Group{Class: "unit", Name: "front left", Title: "front left: universe 1, slots 1 to 6"}
	unit.Box(30, 30, 20, 20, drawing.White, drawing.Ink)
	unit.Label(40, 70, drawing.Centre, drawing.Ink, "front left")
	d.Line(50, 40, 280, 40, drawing.Ink, 2)
	d.Add(unit)
	svg, err := d.SVG()
	fmt.Printf("%s%v", svg, err)
	// Output:
	// <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 80" width="320" height="80" role="img" font-family="DejaVu Sans, Noto Sans, sans-serif" font-size="13">
	// <title>A lamp and its aim</title>
	// <rect width="100%" height="100%" fill="#ffffff"/>
	// <path d="M50 40L280 40" fill="none" stroke="#222222" stroke-width="2" stroke-linejoin="round"/>
	// <g class="unit" data-name="front left">
	// <title>front left: universe 1, slots 1 to 6</title>
	// <path d="M30 30L50 30L50 50L30 50Z" fill="#ffffff" stroke="#222222" stroke-width="1" stroke-linejoin="round"/>
	// <text x="40" y="70" text-anchor="middle" fill="#222222">front left</text>
	// </g>
	// </svg>
	// <nil>
}
