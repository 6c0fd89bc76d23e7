package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"

	"lampblack/folder"
	"lampblack/web/admit"
)

// userState is where a user's keys and lists are kept, apart from any show: the place of the
// XDG Base Directory Specification, or the system's own; systemd names one for a unit. ""
// is nowhere. LAMPBLACK_STATE names another; tests use it.
func userState() string {
	if d := os.Getenv("LAMPBLACK_STATE"); d != "" {
		return d
	}
	if d, _, _ := strings.Cut(os.Getenv("STATE_DIRECTORY"), ":"); d != "" {
		return d
	}
	if d := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(d) {
		return filepath.Join(d, "lampblack")
	}
	switch runtime.GOOS {
	case "windows", "darwin", "ios":
		if d, err := os.UserConfigDir(); err == nil {
			return filepath.Join(d, "lampblack", "state")
		}
	default:
		if d, err := os.UserHomeDir(); err == nil {
			return filepath.Join(d, ".local", "state", "lampblack")
		}
	}
	return ""
}

// privateDir is a folder of the state directory that nobody else reads; it is made.
func privateDir(of ...string) (string, error) {
	d := userState()
	if d == "" {
		return "", errors.New("this user has no folder for what programs keep")
	}
	d = filepath.Join(append([]string{d}, of...)...)
	return d, os.MkdirAll(d, 0o700)
}

// private tells whether nobody but its owner may read a file. Windows keeps that by the
// folder.
func private(info fs.FileInfo) bool {
	return runtime.GOOS == "windows" || info.Mode().Perm()&0o077 == 0
}

// writePrivate writes a file that nobody else may read, whole or not at all.
func writePrivate(ctx context.Context, name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY, 0o600) // WriteFile keeps its permissions
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if runtime.GOOS != "windows" {
		if err := os.Chmod(name, 0o600); err != nil {
			return err
		}
	}
	return folder.WriteFile(ctx, name, data)
}

var keyText = regexp.MustCompile(`^[a-z2-7]{26}$`)

// ownKey is the key of this computer's user, for all their runs: who has it may steer them. One
// that others could read, or that is damaged, is made anew. Where none can be kept it is the
// run's alone, which is told.
func ownKey(ctx context.Context, words io.Writer) (key string, kept bool) {
	fresh := strings.ToLower(rand.Text())
	dir, err := privateDir()
	if err != nil {
		say(words, "note", fmt.Sprintf("the key of the pages cannot be kept, and is another at the next start: %v", err))
		return fresh, false
	}
	name := filepath.Join(dir, "key")
	info, err := os.Stat(name)
	if err == nil && private(info) {
		if text, err := folder.ReadFile(ctx, name, 1<<10); err == nil && keyText.Match(text) {
			return string(text), true
		}
	}
	if ctx.Err() != nil { // it was told to end: the key is as good as it was
		return fresh, false
	}
	if err == nil {
		say(words, "warning", "the key of the pages could be read by others, or was damaged: it is another now, and pages that are open must be opened anew")
	}
	if err := writePrivate(ctx, name, []byte(fresh)); err != nil {
		say(words, "note", fmt.Sprintf("the key of the pages cannot be kept, and is another at the next start: %v", err))
		return fresh, false
	}
	return fresh, true
}

// mostPaired bounds the list of devices that is read.
const mostPaired = 1 << 20

// pairedFile is the list of the devices that come to an address: what a browser keeps is for
// one address too.
func pairedFile(address string) (string, error) {
	dir, err := privateDir("devices")
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, regexp.MustCompile(`[^0-9A-Za-z.]+`).ReplaceAllString(address, "-")+".json"), nil
}

// readPaired are the devices that were paired at an address. A list that others could have
// read is one of nobody any more.
func readPaired(ctx context.Context, words io.Writer, address string) []admit.Device {
	name, err := pairedFile(address)
	if err != nil {
		return nil
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil
	}
	var list []admit.Device
	data, err := folder.ReadFile(ctx, name, mostPaired)
	if err == nil {
		err = json.Unmarshal(data, &list)
	}
	if err == nil && !private(info) {
		err = errors.New("others could read it")
	}
	if err != nil && ctx.Err() != nil {
		return nil
	}
	if err != nil {
		say(words, "note", fmt.Sprintf("devices that were paired must be paired again: %s: %v", name, err))
		return nil
	}
	return list
}
