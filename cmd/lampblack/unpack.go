package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"lampblack/bundle"
	"lampblack/folder"
	"lampblack/play/hand"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const unpackHelp = `Unpack a show that pack wrote into a new folder, to work on it there. Every file
is held against its SHA-256 sum: all of them are written, or none.`

func unpackCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "unpack FILE DIR",
		Short: "unpack a show that pack wrote into a folder",
		Long:  unpackHelp,
		Args:  cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			b, err := openBundle(c.Context(), args[0])
			if err != nil {
				return err
			}
			defer b.Close()
			if entries, err := os.ReadDir(args[1]); err == nil && len(entries) > 0 {
				return hinted{fmt.Errorf("unpack: the folder %s is not empty", args[1]), "name one that is not there yet"}
			}
			into, err := folder.Create(c.Context(), args[1])
			if err != nil {
				return err
			}
			defer into.Close()
			if err := b.Unpack(into); err != nil {
				return err
			}
			fmt.Fprintf(c.ErrOrStderr(), "unpacked %s into %s; next: lampblack check %s\n", si.Count(len(b.Files), "file", "files"), args[1], args[1])
			return nil
		},
	}
}

const verifyHelp = `Read a file that pack wrote as a machine does that has nothing of the show: hold
every file against its SHA-256 sum, solve the show from it alone, and compare every
frame of its light with what came out where it was packed.`

func verifyCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "verify FILE",
		Short: "tell whether a packed show is whole and makes the same light here",
		Long:  verifyHelp,
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			b, err := openBundle(c.Context(), args[0])
			if err != nil {
				return err
			}
			defer b.Close()
			if err := readBack(c.Context(), c.ErrOrStderr(), b, b.Label); err != nil {
				return err
			}
			out := c.OutOrStdout()
			fmt.Fprintf(out, "%s, version %s, packed by %s\n", b.Title, b.Version, b.Program)
			fmt.Fprintf(out, "%s of the show: every sum is right, and the same light comes out\n", si.Count(len(b.Files), "file", "files"))
			for _, p := range b.Programs {
				fmt.Fprintf(out, "program  %s\n", p.Name)
			}
			return nil
		},
	}
}

// openBundle opens a bundle whose lists agree with what is in it.
func openBundle(ctx context.Context, file string) (*bundle.Bundle, error) {
	b, faults, err := bundle.Open(ctx, file)
	switch {
	case errors.Is(err, bundle.ErrNone):
		return nil, fmt.Errorf("open %s: %w", file, err)
	case err != nil:
		return nil, fmt.Errorf("open bundle: %w", err)
	}
	return b, faults.Err()
}

// tonightFiles are kept where a packed show was unpacked: they are of this machine.
var tonightFiles = []string{hand.TonightFile, hand.BeforeFile, hand.FocusFile, show.TrimsFile}

// placeFor is the folder for a packed show: one that stays where this user has a place to keep
// things, else a new one of our own, as others may write where all can.
func placeFor(words io.Writer, id string) (string, error) {
	if home := cacheDir(); home != "" {
		home = filepath.Join(home, "taken")
		dir := filepath.Join(home, id)
		if _, err := os.Stat(dir); err == nil {
			return dir, nil
		}
		if os.MkdirAll(home, 0o755) == nil {
			say(words, "note", "the show is unpacked into "+dir+", and stays there for the next time")
			return dir, nil
		}
	}
	home, err := os.MkdirTemp("", "lampblack-*")
	if err == nil {
		say(words, "note", "this user has no place to keep the show: it is unpacked into "+home+", and what is set tonight is not there the next time")
	}
	return filepath.Join(home, id), err
}

// openPacked opens the show of a bundle, in a folder that is kept for it: what is right
// there already is not written again. A bundle with faults gives those.
func openPacked(ctx context.Context, words io.Writer, file string) (*folder.Folder, *bundle.Label, source.Faults, error) {
	b, faults, err := bundle.Open(ctx, file)
	if err != nil || faults.Err() != nil {
		return nil, nil, faults, err
	}
	defer b.Close()
	dir, err := placeFor(words, b.ID)
	if err != nil {
		return nil, nil, nil, err
	}
	into, err := folder.Create(ctx, dir)
	if err != nil {
		return nil, nil, nil, err
	}
	into.Unseal()
	err = b.Unpack(into, tonightFiles...)
	if err == nil {
		// What is changed there would be gone when the file is opened again.
		err = into.Seal("a packed show is not changed: unpack it, as in `lampblack unpack "+filepath.Base(file)+" my-show`, and work in the folder", tonightFiles...)
	}
	into.Close()
	if err != nil {
		return nil, nil, nil, err
	}
	if into, err = folder.Open(ctx, into.Dir()); err != nil { // anew, as it is now
		return nil, nil, nil, err
	}
	return into, &b.Label, nil, nil
}
