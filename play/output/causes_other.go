//go:build !windows

package output

// alsoCalled is another name of an error: here there is none.
func alsoCalled(err error) error { return err }
