// Package leaktest finds goroutines that nobody has waited for: [Check] calls a
// function and fails when something that it started is still there afterwards.
package leaktest

import (
	"bytes"
	"context"
	"fmt"
	"runtime"
	"runtime/pprof"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// patience is how long a goroutine that was waited for may take to be gone: it
// has said that it is done, and needs but to be given the processor.
const patience = 10 * time.Second

var count atomic.Int64

// Check calls f, which closes all that it opens. Goroutines carry the labels of
// who started them, so that other tests at the same time do not count; nor do
// those of the test's own files, which hear what is sent.
func Check(t testing.TB, f func()) {
	t.Helper()
	label := fmt.Sprint("leaktest ", count.Add(1))
	pprof.Do(context.Background(), pprof.Labels("owner", label), func(context.Context) { f() })
	for begin := time.Now(); ; runtime.Gosched() {
		left := leftOf(label)
		if left == "" {
			return
		}
		if time.Since(begin) > patience {
			t.Errorf("these goroutines are still there:\n%s", left)
			return
		}
	}
}

// leftOf returns the stacks of the goroutines with a label.
func leftOf(label string) string {
	var all bytes.Buffer
	_ = pprof.Lookup("goroutine").WriteTo(&all, 1)
	var left []string
	for _, group := range strings.Split(all.String(), "\n\n") {
		if strings.Contains(group, `"owner":"`+label+`"`) && !strings.Contains(group, "_test.go:") {
			left = append(left, group)
		}
	}
	return strings.Join(left, "\n\n")
}
