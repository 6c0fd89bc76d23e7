package alarm_test

import (
	"context"
	"fmt"

	"lampblack/play/alarm"
	"lampblack/play/line"
)

// A button that types F12 raises the alarm; it stands until it is reset.
func ExampleListen() {
	from, err := line.ParseTrigger("key f12")
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := alarm.Listen(context.Background(), []alarm.Input{{Name: "foyer", From: from}}, alarm.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer w.Close()
	w.Type("f12")
	s := <-w.Changes()
	fmt.Println(s.Stands, s.By)
	came, err := w.Reset()
	fmt.Println(came, err)
	// Output:
	// true foyer
	// [foyer] <nil>
}
