package papers_test

import (
	"os"

	"lampblack/check/finding"
	"lampblack/check/papers"
	"lampblack/room"
	"lampblack/show"
)

// The sign at the door of a show that flashes and goes dark.
func ExampleSign() {
	s := &show.Show{Bill: show.Bill{Title: "The Lantern Fish"}, Room: &room.Room{}}
	papers.Sign(os.Stdout, s, []finding.Finding{
		{ID: "flash-rate", Severity: finding.Note, Value: 3},
		{ID: "blackout", Severity: finding.Note, Value: 4},
	})
	// Output:
	// # Warning sign: The Lantern Fish
	//
	// **Draft, filled by computation. A competent person must check, complete and sign it; local rules decide what must be said and where.**
	//
	// > ## Please note
	// >
	// > This performance uses
	// >
	// > - **flashing light** (up to 3 flashes a second), which may affect people with photosensitive epilepsy
	// > - **darkness** (up to 4 seconds at a time): please stay in your seat
	// >
	// > If any of this may affect you, please speak to a member of staff before you go in.
	//
	// Where: at every entrance, before people pay or sit down; in the programme; on the web page.
	// Pictogram: ISO 7010 W027, optical radiation, for ultraviolet; none is standardised for flashing light (from memory).
}
