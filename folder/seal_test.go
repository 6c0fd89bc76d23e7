package folder

import (
	"errors"
	"maps"
	"testing"
)

// A sealed folder is edited by nobody, whoever opens it, until it is unsealed; it reads as
// before.
func TestSeal(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, before)
	f, err := Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Seal("packed: unpack it", "tonight.yaml", "hall.yaml"); err != nil {
		t.Fatal(err)
	}
	f.Close()
	err = changeAll(t.Context(), dir)
	if !errors.Is(err, ErrSealed) || err.Error() != "write into "+dir+": packed: unpack it" {
		t.Errorf("an edit of a sealed folder: %v", err)
	}
	if !maps.Equal(state(t, dir), before) {
		t.Error("it was changed")
	}
	if f, err = Open(t.Context(), dir); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	tonight := f.Edit()
	tonight.Put("tonight.yaml", []byte("trims"))
	if err := tonight.Commit(); err != nil {
		t.Errorf("an edit of what is not sealed: %v", err)
	}
	tonight.Put("score.yaml", []byte("new"))
	if err := tonight.Commit(); !errors.Is(err, ErrSealed) {
		t.Errorf("an edit of both: %v", err)
	}
	f.Unseal()
	e := f.Edit()
	e.Put("score.yaml", []byte("new"))
	if err := e.Commit(); err != nil {
		t.Errorf("an edit once it is unsealed: %v", err)
	}
}
