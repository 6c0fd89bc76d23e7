package keeper

import "maps"

// memory is what a run must not forget, by names: the keeper has it for the one that is started
// when that dies. It outlives no keeper.
type memory map[string][]byte

// Bounds of what is remembered. A run that wants more names is not heard.
const (
	mostNames  = 16
	MostMemory = 4 << 20 // octets under a name
)

// take takes what is to be remembered: nothing forgets the name.
func (m *memory) take(body []byte) error {
	if len(body) < 1 || len(body) < 1+int(body[0]) {
		return errCut
	}
	name, data := string(body[1:1+body[0]]), body[1+body[0]:]
	if len(data) == 0 {
		delete(*m, name)
		return nil
	}
	if _, known := (*m)[name]; len(data) > MostMemory || !known && len(*m) >= mostNames {
		return errCut
	}
	if *m == nil {
		*m = memory{}
	}
	(*m)[name] = append([]byte(nil), data...)
	return nil
}

// Remember has the keeper remember data for the run that is started when this one dies; what is
// too long, or nothing, is forgotten. It is on its way when Remember returns.
func (w *Wire) Remember(name string, data []byte) {
	name = name[:min(len(name), 255)]
	if len(data) > MostMemory {
		data = nil
	}
	_ = w.write(remembers, func(b []byte) []byte {
		return append(append(append(b, byte(len(name))), name...), data...)
	})
}

// Recall is what the runs before this one had remembered; nothing of a keeper that is gone.
func (w *Wire) Recall() map[string][]byte {
	if w.write(recalls, nil) != nil {
		return nil
	}
	select {
	case m := <-w.recalled:
		return maps.Clone(m)
	case <-w.over:
		return nil
	}
}
