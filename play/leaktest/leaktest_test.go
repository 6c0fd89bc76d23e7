package leaktest

import (
	"context"
	"runtime"
	"runtime/pprof"
	"strings"
	"sync"
	"testing"
	"time"
)

// What is started and ended is not found; what goes on is, by its label alone.
func TestCheck(t *testing.T) {
	Check(t, func() {
		timer := time.AfterFunc(time.Hour, func() {})
		timer.Stop()
		done := make(chan struct{})
		go close(done)
		<-done
	})
	var group sync.WaitGroup
	group.Add(1)
	pprof.Do(context.Background(), pprof.Labels("owner", "left over"), func(context.Context) {
		wait := group.Wait // its stack holds no line of this file
		go wait()
	})
	for begin := time.Now(); !strings.Contains(leftOf("left over"), "WaitGroup"); runtime.Gosched() {
		if time.Since(begin) > patience {
			t.Fatal("a goroutine that was left is not found")
		}
	}
	if other := leftOf("another"); other != "" {
		t.Errorf("found another's goroutine: %s", other)
	}
	group.Done()
}
