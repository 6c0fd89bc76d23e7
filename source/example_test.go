package source_test

import (
	"fmt"

	"lampblack/si"
	"lampblack/source"
)

// The struct is the form of the file; all that is wrong with the file is told at
// once, with its place.
func ExampleDecode() {
	type lamp struct {
		Name    source.Ref `key:"lamp,required"`
		Throw   si.Length  `key:"throw"`
		Address int        `key:"address" within:"1 to 512"`
	}
	text := "lamp: left front\nthrow: 2.5\nadress: 7\n"
	var l lamp
	for _, fault := range source.Decode("lamp.yaml", []byte(text), &l) {
		fmt.Println(fault)
	}
	fmt.Println(l.Name, "is on line", l.Name.Pos.Line)
	// Output:
	// lamp.yaml:2:8: length "2.5" has no unit: write 2.5 m
	// lamp.yaml:3:1: unknown key "adress" (did you mean "address"?)
	// left front is on line 1
}

// One value is changed; comments and blanks stay as they are.
func ExampleOpenText() {
	file := "lamp: left front   # house left\nthrow: 2.5 m\n"
	text, faults := source.OpenText("lamp.yaml", []byte(file))
	if faults != nil {
		fmt.Println(faults)
		return
	}
	at, _ := text.Find("throw")
	if err := text.Set(at, "3 m"); err != nil {
		fmt.Println(err)
	}
	changed, err := text.Bytes()
	fmt.Print(string(changed), err)
	// Output:
	// lamp: left front   # house left
	// throw: 3 m
	// <nil>
}
