//go:build !linux

package keeper

// Raise says what priority the process has.
func Raise(bool) (granted, hint string) { return "normal priority", "" }

// Lower has nothing to put back.
func Lower() {}
