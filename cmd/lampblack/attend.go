package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/supervised"
	"lampblack/source"
)

// attendants are those who look after a run without looking at it: the service manager that
// started it, and the page of figures.
type attendants struct {
	manager *supervised.Manager
	figures *figures // nil for none
	reports uint64   // of a run without outputs
}

// metricsFlag asks for the page of figures.
func (f *runFlags) metricsFlag(c *cobra.Command) {
	c.Flags().StringVar(&f.metrics, "metrics", "", "serve figures of the run, as text in the format of Prometheus, at this address under /metrics: as 127.0.0.1:9512; it tells, and takes no order")
}

// attend lets those attend who want to. What happens is counted on its way to the journal.
func (f *runFlags) attend(tell func(what, text string), o *play.Options) (*attendants, error) {
	a := &attendants{}
	var err error
	if a.manager, err = supervised.FromEnv(); err != nil {
		tell("warning", fmt.Sprintf("the service manager that started this cannot be told how it runs: %v", err))
	}
	if f.metrics == "" {
		return a, nil
	}
	var names []string
	for _, s := range o.Sinks {
		names = append(names, s.Name())
	}
	if a.figures, err = openFigures(f.metrics, names); err != nil {
		if errors.Is(err, errTaken) { // figures must keep no show from running
			tell("warning", "nobody can look after the run by its figures: "+err.Error())
			a.figures = nil
			return a, nil
		}
		return a, errors.Join(err, a.manager.Close())
	}
	tell("note", fmt.Sprintf("figures of the run: http://%s/metrics", a.figures.listener.Addr()))
	journal := o.Journal
	o.Journal = func(e evening.Event) {
		a.figures.count(e.Kind)
		if journal != nil {
			journal(e)
		}
	}
	return a, nil
}

// follow tells them where the run is; it is called from the run's loop, and never waits.
func (a *attendants) follow(s play.Status) {
	if a.manager != nil {
		a.reports++
		sent := a.reports
		if len(s.Outputs) > 0 {
			sent = 0
		}
		for _, o := range s.Outputs {
			sent += o.Sent
		}
		a.manager.Follow(time.Now(), sent, source.Visible(statusText(s)))
	}
	if a.figures != nil {
		a.figures.set(s)
	}
}

func (a *attendants) close() error {
	err := a.manager.Close()
	if a.figures != nil {
		err = errors.Join(err, a.figures.close())
	}
	return err
}
