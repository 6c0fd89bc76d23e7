package show

import (
	"os"
	"testing"

	"lampblack/room"
)

// fine is how finely rooms are solved outside of tests.
var fine room.Fineness

// Rooms are solved coarsely here, but in the long form: how finely is a question of package room, whose own tests
// hold that.
func TestMain(m *testing.M) {
	fine = room.Usual
	if os.Getenv("LAMPBLACK_LONG") == "" {
		room.Usual = room.Fineness{Patches: 1000, Elements: 200}
	}
	os.Exit(m.Run())
}
