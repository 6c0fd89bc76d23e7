package seen

import (
	"time"

	"lampblack/check/flash"
)

// tally holds when flashes of the last seconds began, those that began with a rise and
// those with a fall apart. Flashes that began within 20 ms of one another are one.
type tally [2]flashes

type flashes struct {
	list [mostTallied]began
	next int // the oldest, which is replaced
}

// mostTallied is how many are remembered. A flash is completed at most a second after it
// began, and counts with those of a second before and after: with more than five in one
// of these the count is over any limit.
const mostTallied = 16

type began struct {
	from, to time.Duration
	some     bool
}

// second is how far apart flashes may begin that count as within a second.
const second = flash.Second - flash.Grain

// reach is the second of a group, which may begin as much before the event that it is.
const reach = second + flash.Together

// add takes a flash that has begun at an instant, and returns how many there are in the
// worst second that holds it, if it is another than those before or earlier; else 0. There are never
// fewer groups than flash.Union has events: a group is no longer than 20 ms, and events
// lie farther apart.
func (f *flashes) add(at time.Duration) (count int) {
	for i := range f.list {
		if b := &f.list[i]; b.some && max(b.to, at)-min(b.from, at) <= flash.Together {
			earlier := at < b.from
			if b.from, b.to = min(b.from, at), max(b.to, at); earlier {
				return f.worst(at)
			}
			return 0
		}
	}
	f.list[f.next] = began{at, at, true}
	f.next = (f.next + 1) % mostTallied
	return f.worst(at)
}

// worst is the most groups in a second that holds an instant.
func (f *flashes) worst(at time.Duration) (count int) {
	for i := range f.list {
		first := &f.list[i]
		if !first.some || first.from > at || at-first.from >= reach {
			continue
		}
		n := 0
		for k := range f.list {
			if b := &f.list[k]; b.some && b.from >= first.from && b.from-first.from < reach {
				n++
			}
		}
		count = max(count, n)
	}
	return count
}

// since is how many began since an instant.
func (t *tally) since(at time.Duration) (most int) {
	for i := range t {
		n := 0
		for k := range t[i].list {
			if b := &t[i].list[k]; b.some && b.from > at {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

// record holds the flashes of the parts of a field that the last seconds have completed,
// by when they began.
type record struct {
	list  [mostRecorded]flashOf
	count int
}

// mostRecorded is how many a field remembers of each direction: of 40 pieces, four in
// each of the seconds that count. The oldest go first.
const mostRecorded = 480

type flashOf struct {
	at   int32 // ms: the scene's own step
	part int16
	new  bool // of the frame that is asked for
}

// remembered is how long flashes count with others.
const remembered = 2*flash.Second + flash.Pairing

func milliseconds(d time.Duration) int32 { return int32(d.Round(time.Millisecond) / time.Millisecond) }

// add puts a flash in its place.
func (r *record) add(began time.Duration, part int) {
	at := milliseconds(began)
	if r.count == mostRecorded {
		copy(r.list[:], r.list[1:])
		r.count--
	}
	i := r.count
	for ; i > 0 && r.list[i-1].at > at; i-- {
		r.list[i] = r.list[i-1]
	}
	r.list[i] = flashOf{at, int16(part), true}
	r.count++
}

// settle keeps what is new, or takes it out, and forgets what is too old to count.
func (r *record) settle(keep bool, now time.Duration) {
	n := 0
	for _, f := range r.list[:r.count] {
		if milliseconds(now)-f.at < milliseconds(remembered) && (keep || !f.new) {
			f.new = false
			r.list[n] = f
			n++
		}
	}
	r.count = n
}

// worst counts as flash.Union and flash.Worst do: events of more than an area, in the worst
// second that holds something new. held is scratch, by part, of zeros.
func (r *record) worst(parts []part, area float32, held []int) (most int) {
	var events [3 * mostTallied]struct {
		at  int32
		new bool
	}
	n, end := 0, 0
	sum := float32(0)
	list := r.list[:r.count]
	for start := 0; start < len(list); {
		for ; end < len(list) && list[end].at-list[start].at <= milliseconds(flash.Together); end++ {
			if held[list[end].part]++; held[list[end].part] == 1 {
				sum += parts[list[end].part].area
			}
		}
		next := start + 1
		if sum > area && n < len(events) {
			events[n].at, events[n].new = list[start].at, false
			for _, f := range list[start:end] {
				events[n].new = events[n].new || f.new
			}
			n++
			next = end
		}
		for ; start < next; start++ {
			if held[list[start].part]--; held[list[start].part] == 0 {
				sum -= parts[list[start].part].area
			}
		}
		if start == end {
			sum = 0
		}
	}
	for i := range events[:n] {
		some := false
		k := i
		for ; k < n && events[k].at-events[i].at < milliseconds(second); k++ {
			some = some || events[k].new
		}
		if some {
			most = max(most, k-i)
		}
	}
	return most
}
