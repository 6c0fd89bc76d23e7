package plate

import (
	"context"
	"fmt"
	"math"

	"lampblack/plate/drawing"
)

// Pairs are the same looks in two rooms, side by side. The two pictures of a pair are under one
// white, that of an eye that is used to both: what is darker in one looks so.
type Pairs struct {
	Title       string
	Left, Right Strip // the same looks in the same order, each in its own room
	Names       [2]string
}

const (
	pairColumns = 2
	pairGap     = 4  // between the pictures of a pair
	pairsApart  = 36 // between two pairs
	pairRows    = 4  // of a page
	pairTop     = 64
)

// Draw computes the plate, all of it in one drawing.
func (p *Pairs) Draw(ctx context.Context) (*drawing.Drawing, error) {
	pages, err := p.draw(ctx, MostFrames)
	if err != nil {
		return nil, err
	}
	return pages[0], nil
}

// Pages computes the plate as pages of some rows each, for paper.
func (p *Pairs) Pages(ctx context.Context) ([]*drawing.Drawing, error) { return p.draw(ctx, pairRows) }

func (p *Pairs) draw(ctx context.Context, rows int) ([]*drawing.Drawing, error) {
	n := len(p.Left.Frames)
	if n == 0 || n > MostFrames || len(p.Right.Frames) != n {
		return nil, fmt.Errorf("draw pairs: %d and %d pictures are not 1 to %d of each", n, len(p.Right.Frames), MostFrames)
	}
	high := int(math.Round(stripWidth * viewHeight / viewWidth))
	left, err := p.Left.scenes(ctx, stripSharp*stripWidth, stripSharp*high)
	if err != nil {
		return nil, err
	}
	right, err := p.Right.scenes(ctx, stripSharp*stripWidth, stripSharp*high)
	if err != nil {
		return nil, err
	}
	var out []*drawing.Drawing
	for from := 0; from < n; from += rows * pairColumns {
		to := min(from+rows*pairColumns, n)
		d := p.page(to-from, high)
		for i := from; i < to; i++ {
			p.pair(d, i, i-from, float64(high), left[i], right[i])
		}
		out = append(out, d)
	}
	return out, nil
}

// page is the ground of so many pairs.
func (p *Pairs) page(n, high int) *drawing.Drawing {
	columns := min(pairColumns, n)
	rows := (n + columns - 1) / columns
	width := viewLeft*2 + float64(columns*(2*stripWidth+pairGap)+(columns-1)*pairsApart)
	d := drawing.New(width, pairTop+float64(rows*(high+stripSay+stripGap))+34, p.Title)
	d.Heading(viewLeft, 28, p.Title)
	for c := range columns {
		x := viewLeft + float64(c*(2*stripWidth+pairGap+pairsApart))
		d.Label(x, pairTop-8, drawing.Left, drawing.Ink, p.Names[0])
		d.Label(x+stripWidth+pairGap, pairTop-8, drawing.Left, drawing.Ink, p.Names[1])
	}
	d.Label(viewLeft, d.Height-14, drawing.Left, drawing.Ink, fmt.Sprintf("The two of a pair under one white, as an eye sees them that is used to both; from %s and from %s. Computed for matt surfaces.",
		p.Left.name(p.Left.Transport), p.Right.name(p.Right.Transport)))
	return d
}

// pair puts one pair at its place on the page.
func (p *Pairs) pair(d *drawing.Drawing, i, place int, high float64, left, right *Scene) {
	x := viewLeft + float64(place%pairColumns*(2*stripWidth+pairGap+pairsApart))
	y := pairTop + float64(place/pairColumns)*(high+stripSay+stripGap)
	tone := p.Left.tone(left, right)
	for k, scene := range []*Scene{left, right} {
		at := x + float64(k*(stripWidth+pairGap))
		d.Add(&drawing.Picture{Pixels: scene.paint(nil, false, tone.of), Left: at, Top: y, Right: at + stripWidth, Bottom: y + high})
		d.Box(at, y, stripWidth, high, none, drawing.Ink)
	}
	d.Label(x, y+high+15, drawing.Left, drawing.Ink, p.Left.Frames[i].Says)
	d.Label(x+stripWidth+pairGap, y+high+15, drawing.Left, drawing.Ink, p.Right.Frames[i].Says)
}
