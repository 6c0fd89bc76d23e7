package seen

import (
	"time"

	"lampblack/check/flash"
)

// tally holds when flashes of the last seconds began, those that began with a rise and
// those with a fall apart. Flashes that began within 20 ms of one another are one.
type tally [2]struct {
	list [mostTallied]began
	next int // the oldest, which is replaced
}

// longTally remembers longer: a change may stand half done for long, and then be one
// after all, which completes a flash that began before it stood.
type longTally [2]struct {
	list [6 * mostTallied]began
	next int
}

// mostTallied is how many are remembered. Mostly a flash is completed at most a second
// after it began, and counts with those of a second before and after: with more than five
// in one of these the count is over any limit.
const mostTallied = 16

type began struct {
	from, to time.Duration
	some     bool
}

// second is how far apart flashes may begin that count as within a second.
const second = flash.Second - flash.Grain

// reach is the second of a group, which may begin as much before the event that it is.
const reach = second + flash.Together

// add takes a flash that has begun at an instant.
func add(list []began, next *int, at time.Duration) {
	for i := range list {
		if b := &list[i]; b.some && max(b.to, at)-min(b.from, at) <= flash.Together {
			b.from, b.to = min(b.from, at), max(b.to, at)
			return
		}
	}
	list[*next] = began{at, at, true}
	*next = (*next + 1) % len(list)
}

// worst is the most groups that begin within a span which holds an instant, or may when
// groups are grouped otherwise. Within reach there are never fewer
// than flash.Union has events within a second: a group is no longer than 20 ms, and
// events lie farther apart.
func worst(list []began, at, span time.Duration) (count int) {
	for i := range list {
		first := &list[i]
		if !first.some || first.from > at+flash.Together || at-first.from >= span+flash.Together {
			continue
		}
		n := 0
		for k := range list {
			if b := &list[k]; b.some && b.from >= first.from && b.from-first.from < span {
				n++
			}
		}
		count = max(count, n)
	}
	return count
}

func (t *tally) add(way int, at time.Duration) { add(t[way].list[:], &t[way].next, at) }

func (t *longTally) add(way int, at time.Duration) { add(t[way].list[:], &t[way].next, at) }

// since is how many began after an instant.
func (t *tally) since(at time.Duration) int {
	return max(since(t[0].list[:], at), since(t[1].list[:], at))
}

func (t *longTally) since(at time.Duration) int {
	return max(since(t[0].list[:], at), since(t[1].list[:], at))
}

func since(list []began, at time.Duration) (n int) {
	for i := range list {
		if list[i].some && list[i].from > at {
			n++
		}
	}
	return n
}

// record holds the flashes of the parts of a field that the last seconds have completed,
// by when they began.
type record struct {
	list   []flashOf // as long as it may become
	count  int
	forgot int32 // when the last one began that there was no place for, in ms; 0 for none
}

// recordedOf is how many flashes a field remembers of each of its parts and each direction:
// as many as count in the seconds that do. What flashes faster is small; where there is no place
// for all of it the oldest goes first, and the field is not counted closely.
const recordedOf = 4

// forgets tells whether there was no place for what counts yet.
func (r *record) forgets(now time.Duration) bool {
	return r.forgot > 0 && milliseconds(now)-r.forgot < milliseconds(remembered)
}

type flashOf struct {
	at   int32 // ms: the scene's own step
	part int16
	new  bool // of the frame that is asked for
}

// remembered is how long flashes count with others.
const remembered = 2*flash.Second + flash.Pairing

// milliseconds rounds an instant that is not before 0.
func milliseconds(d time.Duration) int32 { return int32((d + time.Millisecond/2) / time.Millisecond) }

// add puts a flash in its place.
func (r *record) add(began time.Duration, part int) {
	at := milliseconds(began)
	if r.count == len(r.list) {
		r.forgot = max(r.forgot, r.list[0].at)
		copy(r.list, r.list[1:])
		r.count--
	}
	i := r.count
	for ; i > 0 && r.list[i-1].at > at; i-- {
		r.list[i] = r.list[i-1]
	}
	r.list[i] = flashOf{at, int16(part), true}
	r.count++
}

// remove takes out a flash that was added last for its part.
func (r *record) remove(began time.Duration, part int) {
	at := milliseconds(began)
	for i := r.count - 1; i >= 0; i-- {
		if f := r.list[i]; f.new && f.at == at && f.part == int16(part) {
			copy(r.list[i:], r.list[i+1:r.count])
			r.count--
			return
		}
	}
}

// settle keeps what is new, or takes it out, and forgets what is older than it should
// remember.
func (r *record) settle(keep bool, now, remembered time.Duration) {
	n, oldest := 0, milliseconds(now)-milliseconds(remembered)
	for _, f := range r.list[:r.count] {
		if f.at > oldest && (keep || !f.new) {
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
	var events [8 * mostTallied]struct {
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
