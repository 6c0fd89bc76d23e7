package main

import (
	"context"
	"os"

	"golang.org/x/term"

	"lampblack/play"
	"lampblack/play/trigger"
)

// keyActions is what each key does during a run.
var keyActions = map[byte]play.Action{
	' ': play.Hold, 'h': play.Hold,
	'\r': play.Go, '\n': play.Go, 'g': play.Go,
	'n': play.Skip,
	'b': play.Back,
	'l': play.LightsUp,
	'd': play.LightsDown,
	'r': play.ResetAlarm,
	'f': play.Freeze,
	'u': play.Unfreeze,
	's': play.StopAll,
	'x': play.Hush,
	't': play.Tap,
	'q': play.Quit,
	'e': editNow,
	'c': editCue,
	'i': editNot,
	'z': editBack,
}

// commandOf is what a key does during a run; extras has the extra sounds by their keys.
func commandOf(key string, extras map[string]string) (c play.Command, ok bool) {
	if name, ok := extras[key]; ok {
		return play.Command{Do: play.Extra, Name: name}, true
	}
	if len(key) != 1 {
		return c, false
	}
	do, ok := keyActions[key[0]]
	return play.Command{Do: do}, ok
}

// ctrlC does not raise a signal in raw mode.
const ctrlC = 3

// readKeys turns key presses into commands while standard input is a terminal. Call
// restore before the program ends.
func readKeys(ctx context.Context, triggers contacts, extras map[string]string) (commands <-chan play.Command, restore func()) {
	keys := make(chan play.Command)
	var named trigger.Keys
	pressed := func(name string) {
		command, steers := commandOf(name, extras)
		if triggers.key(name) || !steers {
			return
		}
		select {
		case keys <- command:
		case <-ctx.Done():
		}
	}
	if in := int(os.Stdin.Fd()); term.IsTerminal(in) {
		dropTyped(in)
	}
	// Keys go by their names, so that no part of what an arrow or F5 sends can steer.
	restore, ok := readTerminal(func(b byte) { named.Feed([]byte{b}, pressed) })
	if !ok {
		return nil, restore
	}
	return keys, restore
}

// readTerminal calls each with every byte that is typed, if standard input is a terminal.
// Call restore before the program ends. In raw mode keys come one by one, and ctrl-c as a
// byte; stop puts the terminal back however the program ends.
func readTerminal(each func(b byte)) (restore func(), ok bool) {
	in := int(os.Stdin.Fd())
	if !term.IsTerminal(in) {
		return func() {}, false
	}
	old, err := term.MakeRaw(in)
	if err != nil {
		return func() {}, false
	}
	go func() {
		// Ends with the program: a read from a terminal cannot be called off.
		var b [1]byte
		for {
			if n, err := os.Stdin.Read(b[:]); n == 0 || err != nil {
				return
			}
			if b[0] == ctrlC {
				stop.stop()
				return
			}
			each(b[0])
		}
	}()
	stop.raw(func() { _ = term.Restore(in, old) })
	return stop.cooked, true
}

// merge passes on the commands of keys and book; done closes when it has ended, after
// ctx. What is meant for an edit goes to edit. Without book and keys nothing is started.
func merge(ctx context.Context, keys <-chan play.Command, book follower, edit func(play.Action)) (commands <-chan play.Command, done <-chan struct{}) {
	ended := make(chan struct{})
	if book == nil && keys == nil {
		close(ended)
		return nil, ended
	}
	out := make(chan play.Command)
	var pages <-chan play.Command
	if book != nil {
		pages = book.commands()
	}
	go func() {
		defer close(ended)
		for {
			var c play.Command
			select {
			case c = <-keys:
			case c = <-pages:
			case <-ctx.Done():
				return
			}
			if isEdit(c.Do) { // nothing of the run's
				edit(c.Do)
				continue
			}
			select {
			case out <- c:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out, ended
}
