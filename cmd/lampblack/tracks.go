package main

import (
	"os"
	"sync"

	"lampblack/soundtrack"
)

// tracks are soundtracks that were heard, by the files as they were then: a show that is worked
// out after each change hears each of them once. A nil one keeps nothing.
type tracks struct {
	mu    sync.Mutex
	heard map[string]heardOnce
}

type heardOnce struct {
	stamp stamp
	track *soundtrack.Track
}

func stampOf(path string) (stamp, bool) {
	info, err := os.Stat(path)
	if err != nil {
		return stamp{}, false
	}
	return stamp{info.ModTime(), info.Size()}, true
}

// of is what was heard of a file, nil where it has changed since.
func (k *tracks) of(path string) *soundtrack.Track {
	if k == nil {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if now, ok := stampOf(path); ok && k.heard[path].stamp == now {
		return k.heard[path].track
	}
	return nil
}

func (k *tracks) keep(path string, t *soundtrack.Track) {
	if k == nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if now, ok := stampOf(path); ok {
		if k.heard == nil {
			k.heard = map[string]heardOnce{}
		}
		k.heard[path] = heardOnce{now, t}
	}
}
