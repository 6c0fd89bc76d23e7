package keeper

import (
	"context"
	"errors"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/alarm"
	"lampblack/play/line"
)

// input is one by a key; every makes a heartbeat of it.
func input(t *testing.T, every time.Duration) []alarm.Input {
	from, err := line.ParseTrigger("key f12")
	if err != nil {
		t.Fatal(err)
	}
	return []alarm.Input{{Name: "stage door", From: from, Every: every}}
}

// An alarm that the keeper hears brings the lights up whatever the run sends, is told to the
// run, and is over when it is reset.
func TestKeeperHearsTheAlarm(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, told := &seen{}, []string{}
		status, err := kept(t.Context(), s, Times{}, &told, func(ctx context.Context, w *Wire, _ *Again) int {
			if err := begins(w, Times{}); err != nil {
				t.Error(err)
			}
			a, err := w.Listen(input(t, 0), alarm.State{})
			if err != nil {
				t.Error(err)
				return 1
			}
			<-a.Changes() // how it stands at first
			w.Alarm(false)
			sends(ctx, w, "a", time.Second)
			if a.Type("f11") || !a.Type("f12") {
				t.Error("the key is not the input's")
			}
			if c := <-a.Changes(); !c.Stands || c.By != "stage door" || !a.State().Stands {
				t.Errorf("it comes as %+v", c)
			}
			w.Alarm(false) // of a run that has not heard of it
			sends(ctx, w, "a", time.Second)
			if came, err := a.Reset(); err != nil || !slices.Equal(came, []string{"stage door"}) {
				t.Errorf("reset: %v, %v", came, err)
			}
			if c := <-a.Changes(); c.Stands || c.Inputs[0].Tried.IsZero() {
				t.Errorf("it is over as %+v", c)
			}
			sends(ctx, w, "b", time.Second)
			for range 2 {
				_ = a.Close()
			}
			_, err = w.Close(100 * time.Millisecond)
			return map[bool]int{true: 0, false: 2}[err == nil]
		})
		if want := []string{"10ms a", "1s up", "2.01s b", "3s up"}; status != 0 || err != nil || !near(s.log(), want) {
			t.Errorf("status %d, %v: %q, want %q; told %q", status, err, s.log(), want, told)
		}
	})
}

// The keeper hears an alarm also while no run computes: the lights come up, and stay up when the
// next one sends, which finds the alarm as it stands and can reset it.
func TestAlarmWhileNobodyComputes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, told := &seen{}, []string{}
		long := Times{Stands: time.Minute, Ultraviolet: time.Minute}
		status, err := kept(t.Context(), s, long, &told, func(ctx context.Context, w *Wire, _ *Again) int {
			_ = begins(w, long)
			a, err := w.Listen(input(t, time.Second), alarm.State{})
			if err != nil {
				t.Error(err)
			}
			for range 10 {
				a.Type("f12")
				sends(ctx, w, "a", 200*time.Millisecond)
			}
			return 1 // it dies
		}, func(ctx context.Context, w *Wire, _ *Again) int {
			time.Sleep(3 * time.Second) // which it takes to begin
			_ = begins(w, long)
			a, err := w.Listen(input(t, time.Second), alarm.State{})
			if err != nil || !a.State().Stands {
				t.Errorf("it finds the alarm as %+v, %v", a, err)
				return 2
			}
			var says *alarm.Says
			if _, err := a.Reset(); !errors.As(err, &says) || says.Back == "" {
				t.Errorf("reset while no heartbeat comes: %v", err)
			}
			sends(ctx, w, "b", time.Second)
			a.Type("f12")
			time.Sleep(10 * time.Millisecond) // the key is on its way to the keeper, and from there to the alarm
			if _, err := a.Reset(); err != nil {
				t.Error(err)
			}
			sends(ctx, w, "b", 500*time.Millisecond)
			_, _ = w.Close(100 * time.Millisecond)
			return 0
		})
		if want := []string{"10ms a", "2s a calm", "2.8s up", "6.01s b", "6.5s up"}; status != 0 || err != nil || !near(s.log(), want) {
			t.Errorf("status %d, %v: %q, want %q; told %q", status, err, s.log(), want, told)
		}
	})
}
