package keeper

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"net"
	"sync/atomic"
	"time"

	"lampblack/play/alarm"
	"lampblack/play/output"
)

// Wire is the outputs of a run whose keeper has them. Its methods may be called from any
// goroutine; only Open and Close wait for the keeper.
type Wire struct {
	link
	opened             chan answer
	ended              chan farewell
	stopped            chan struct{}
	gone               chan struct{} // closes when the keeper goes before the run
	over               chan struct{} // closes when the line ends
	now                atomic.Pointer[report]
	closing            atomic.Bool
	alarm              atomic.Pointer[hears] // that the keeper listens to; nil for none
	listened, wasReset chan verdict
	recalled           chan memory
	names              []string
}

// Dial takes up the line to the keeper.
func Dial(conn net.Conn) *Wire {
	w := &Wire{link: link{conn: conn}, opened: make(chan answer, 1), ended: make(chan farewell, 1), listened: make(chan verdict, 1), wasReset: make(chan verdict, 1), recalled: make(chan memory, 1), stopped: make(chan struct{}), gone: make(chan struct{}), over: make(chan struct{})}
	w.now.Store(&report{})
	go w.hear()
	return w
}

// hear takes what the keeper says until the line ends.
func (w *Wire) hear() {
	defer func() {
		close(w.over)
		if !w.closing.Load() {
			close(w.gone)
		}
	}()
	var buf []byte
	for {
		k, body, used, err := w.read(buf)
		if err != nil {
			return
		}
		buf = used
		switch k {
		case opened:
			var a answer
			if json.Unmarshal(body, &a) == nil {
				offer(w.opened, a)
			}
		case ended:
			var f farewell
			if json.Unmarshal(body, &f) == nil {
				offer(w.ended, f)
			}
		case listened, wasReset:
			var v verdict
			if json.Unmarshal(body, &v) == nil {
				offer(map[kind]chan verdict{listened: w.listened, wasReset: w.wasReset}[k], v)
			}
		case recalled:
			var m memory
			if json.Unmarshal(body, &m) == nil {
				offer(w.recalled, m)
			}
		case alarms:
			var s alarm.State
			if h := w.alarm.Load(); h != nil && json.Unmarshal(body, &s) == nil {
				h.take(s)
				h.told()
			}
		case stats:
			r := &report{}
			if json.Unmarshal(body, r) == nil {
				w.now.Store(r)
			}
		case stop:
			select {
			case <-w.stopped:
			default:
				close(w.stopped)
			}
		}
	}
}

func offer[T any](to chan T, v T) {
	select {
	case to <- v:
	default:
	}
}

// ErrGone is that the keeper is gone, and with it the wire.
var ErrGone = errors.New("the process that owns the outputs is gone: units now do what they are set to do without data")

// Stopped closes when the run is to end.
func (w *Wire) Stopped() <-chan struct{} { return w.stopped }

// Gone closes when there is no keeper any more, though the run has not closed the wire.
func (w *Wire) Gone() <-chan struct{} { return w.gone }

// Open has the keeper open outputs. It returns at which priority it sends, and how more can be
// had, "" where there is no more.
func (w *Wire) Open(o Opening) (priority, hint string, err error) {
	if err := w.writeJSON(opening, o); err != nil {
		return "", "", errors.Join(ErrGone, err)
	}
	select {
	case a := <-w.opened:
		if a.Error != "" {
			return "", "", errors.New(a.Error)
		}
		w.names = a.Names
		w.now.Store(&report{Outputs: make([]output.Stats, len(a.Names))})
		return a.Priority, a.Hint, nil
	case <-w.over:
		return "", "", ErrGone
	}
}

// Send hands over frames that are to leave when they are due. A keeper that is gone takes none.
func (w *Wire) Send(list []output.Frame, due time.Time) {
	at := instantOf(due)
	_ = w.write(frames, func(b []byte) []byte {
		return appendFrames(binary.LittleEndian.AppendUint64(b, uint64(at)), list)
	})
}

// Prepare hands over the light in which the run ends.
func (w *Wire) Prepare(safe []output.Frame) { w.Stand(output.Up, safe) }

// Stand hands over light for when no more frames come.
func (w *Wire) Stand(which output.Stand, list []output.Frame) {
	_ = w.write(stands, func(b []byte) []byte { return appendFrames(append(b, byte(which)), list) })
}

// Alarm lets nothing but the light of Prepare leave, until it is over.
func (w *Wire) Alarm(stands bool) {
	_ = w.write(standing, func(b []byte) []byte { return appendFlag(b, stands) })
}

// Paired says that another machine sends the same on purpose, as of now. When that stands by, it
// has the lamps when no more frames come.
func (w *Wire) Paired(cid [16]byte, standsBy bool) {
	_ = w.write(paired, func(b []byte) []byte { return appendFlag(append(b, cid[:]...), standsBy) })
}

// Stats says how the outputs do, as the keeper said last.
func (w *Wire) Stats() []output.Stats { return w.now.Load().Outputs }

// Late says how late frames have left.
func (w *Wire) Late() output.Lateness { return w.now.Load().Late }

// Close sends the last light for a time and ends the outputs; a second call does nothing.
func (w *Wire) Close(over time.Duration) (all []output.Summary, err error) {
	if w.closing.Swap(true) {
		return nil, nil
	}
	defer w.conn.Close()
	if err := w.writeJSON(ending, over); err != nil {
		return nil, errors.Join(ErrGone, err)
	}
	select {
	case f := <-w.ended:
		if f.Error != "" {
			err = errors.New(f.Error)
		}
		w.now.Store(&report{Late: f.Late})
		return f.Outputs, err
	case <-w.over:
		return nil, ErrGone
	}
}

// Sinks are the outputs for whoever asks how they do. They send nothing: the wire does.
func (w *Wire) Sinks() []output.Sink {
	var out []output.Sink
	for i := range w.names {
		out = append(out, &proxy{w, i})
	}
	return out
}

// proxy is one of the outputs, for whoever asks how it does.
type proxy struct {
	wire *Wire
	i    int
}

func (p *proxy) Send([]output.Frame, time.Time) error { return nil }
func (p *proxy) Close() error                         { return nil }
func (p *proxy) Name() string                         { return p.wire.names[p.i] }

func (p *proxy) Stats() output.Stats {
	if all := p.wire.Stats(); p.i < len(all) {
		return all[p.i]
	}
	return output.Stats{}
}
