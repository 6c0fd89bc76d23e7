package plate

import (
	"image"
	"slices"

	"lampblack/room"
)

// Scene is a Sight under the light of an instant: what is at every point, before it is turned into
// colours.
type Scene struct {
	sight  *Sight
	shines []room.Shine // by point of the sight
	things []thing

	mirrored  []room.Shine // what the mirrored of the sight show
	inMirrors []thing
	shaded    []shadedNodes
	shining   *room.Shining
}

// Light works out an aspect of an instant. kept may be what Light gave for another instant of this
// sight; it is used up.
func (s *Sight) Light(kept *Scene, a room.Aspect, n *Instant) *Scene {
	if kept == nil {
		kept = &Scene{sight: s, shines: make([]room.Shine, len(s.points)), mirrored: make([]room.Shine, len(s.mirrored))}
	}
	t := n.Transport
	if t == nil {
		t = s.transport
	}
	shining := t.Shine(kept.shining, a, n.Levels)
	kept.shining = shining
	s.light(shining)
	for i := range s.points {
		p := &s.points[i]
		kept.shines[i] = shining.At(int(p.panel), s.bright[s.fromIn[i]:s.fromIn[i+1]], &p.places, &p.weights)
		if in, share, ok := s.through(p, a, shining); ok {
			kept.mirrored[p.mirror] = in
			kept.shines[i] = kept.shines[i].Plus(&in, share)
		}
	}
	kept.shade(s.shadowsOf(t, n, a), shining)
	kept.things, kept.inMirrors = s.over(t, n, a, shining), s.imaged(t, n, a, shining)
	return kept
}

// light gathers the rays of the lamps that are on, where others are than in the last picture: mostly few are.
func (s *Sight) light(shining *room.Shining) {
	lit := shining.Lit(nil)
	if slices.Equal(lit, s.lit) && s.fromIn != nil {
		return
	}
	s.lit, s.bright, s.fromIn = lit, s.bright[:0], append(s.fromIn[:0], 0)
	for i := range s.points {
		for _, r := range s.rays[s.points[i].from:s.points[i].to] {
			if lit[r.Column] {
				s.bright = append(s.bright, r)
			}
		}
		s.fromIn = append(s.fromIn, int32(len(s.bright)))
	}
}

// count adds the scene's pixels to statistics.
func (c *Scene) count(s *statistics) {
	for i := range c.shines {
		s.add(&c.shines[i], float64(c.sight.points[i].pixels))
	}
	for k := range c.things {
		one := &c.things[k]
		for i := range one.shines {
			s.add(&one.shines[i], float64(len(one.pixels))/float64(len(one.shines)))
		}
	}
}

// Tone is the tone for scenes under one white.
func toneOf(as As, scenes ...*Scene) Tone {
	var s statistics
	for _, c := range scenes {
		c.count(&s)
	}
	return s.tone(as)
}

// dither is what is added before a code is cut to a whole number: by its place, so that what goes
// evenly into the dark has no steps (B. E. Bayer, IEEE ICC 1973: an ordered matrix, from memory).
var dither = [4][4]float32{{.03, .53, .16, .66}, {.78, .28, .91, .41}, {.22, .72, .09, .59}, {.97, .47, .84, .34}}

var halves = [4]float32{.5, .5, .5, .5} // plain rounding

// paint makes pixels of it; dst, where it is of its size, is used again. Dithered, what goes evenly
// into the dark has no steps, and a file is twice as large.
func (c *Scene) paint(dst *image.RGBA, dithered bool, paint func(*room.Shine) shown) *image.RGBA {
	s := c.sight
	if fresh := dst == nil || dst.Rect.Dx() != s.Width || dst.Rect.Dy() != s.Height; fresh || s.holes {
		if fresh {
			dst = image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
		}
		for i := 0; i < len(dst.Pix); i += 4 {
			dst.Pix[i], dst.Pix[i+1], dst.Pix[i+2], dst.Pix[i+3] = 0, 0, 0, 255
		}
	}
	colours := make([]shown, len(c.shines))
	for i := range colours {
		colours[i] = paint(&c.shines[i])
	}
	for i := range s.cells {
		s.cells[i].paint(dst, dithered, colours)
	}
	for i := range c.shaded {
		c.shaded[i].paint(dst, &s.cells[c.shaded[i].cell], s.nodeStep(), dithered, paint)
	}
	for i := range s.edges {
		s.edges[i].paint(dst, colours)
	}
	c.paintImages(dst, paint)
	for i := range c.things {
		c.things[i].paint(dst, paint)
	}
	return dst
}

// paint fills a cell: along each row the colour goes in a straight line.
func (c *cell) paint(dst *image.RGBA, dithered bool, colours []shown) {
	c.between(dst, dithered, &colours[c.corner[0]], &colours[c.corner[1]], &colours[c.corner[2]], &colours[c.corner[3]])
}

// between fills it between four colours.
func (c *cell) between(dst *image.RGBA, dithered bool, a, b, d, e *shown) {
	width, height := float32(c.x1-c.x0), float32(c.y1-c.y0)
	for y := c.y0; y < c.y1; y++ {
		f := float32(y-c.y0) / height
		var at, step shown
		for k := range at {
			left, right := a[k]+f*(d[k]-a[k]), b[k]+f*(e[k]-b[k])
			at[k], step[k] = left, (right-left)/width
		}
		row := dst.Pix[4*(int(y)*dst.Rect.Dx()+int(c.x0)):]
		d := &halves
		if dithered {
			d = &dither[y&3]
		}
		for x := range int(c.x1 - c.x0) {
			n := d[(x+int(c.x0))&3]
			row[4*x], row[4*x+1], row[4*x+2] = uint8(at[0]+n), uint8(at[1]+n), uint8(at[2]+n)
			at[0], at[1], at[2] = at[0]+step[0], at[1]+step[1], at[2]+step[2]
		}
	}
}

func (e *edge) paint(dst *image.RGBA, colours []shown) {
	var sum shown
	for _, p := range e.point {
		if p >= 0 {
			for k, v := range colours[p] {
				sum[k] += v / 4
			}
		}
	}
	for k, v := range sum {
		dst.Pix[4*int(e.at)+k] = uint8(v + .5)
	}
}

// paint lays a thing over what is behind it.
func (o *thing) paint(dst *image.RGBA, paint func(*room.Shine) shown) {
	nodes := make([]shown, len(o.shines))
	for i := range nodes {
		nodes[i] = paint(&o.shines[i])
	}
	for i := range o.pixels {
		p := &o.pixels[i]
		node, weights := o.nodes(p)
		for k := range 3 {
			v := nodes[node][k]*weights[0] + nodes[node+1][k]*weights[1] + nodes[node+o.cols][k]*weights[2] + nodes[node+o.cols+1][k]*weights[3]
			to := &dst.Pix[4*int(p.at)+k]
			*to = uint8(float32(*to)*(1-p.share) + v*p.share + .5)
		}
	}
}

// nodes are the four about a pixel: the first of them, beside and over which the others are.
func (o *thing) nodes(p *covered) (first int, weights [4]float32) {
	c, r := min(int(p.x), o.cols-2), min(int(p.y), o.rows-2)
	fx, fy := p.x-float32(c), p.y-float32(r)
	return int(p.part)*o.cols*o.rows + r*o.cols + c, [4]float32{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy}
}

// at is what the thing looks like in a pixel that it fills half of, or more.
func (o *thing) at(pixel int32) (v room.Shine, ok bool) {
	for i := range o.pixels {
		if p := &o.pixels[i]; p.at == pixel && p.share >= .5 {
			return o.shine(p), true
		}
	}
	return v, false
}

// shine is what the thing looks like in a pixel.
func (o *thing) shine(p *covered) room.Shine {
	node, w := o.nodes(p)
	return room.Shine{}.Plus(&o.shines[node], w[0]).Plus(&o.shines[node+1], w[1]).Plus(&o.shines[node+o.cols], w[2]).Plus(&o.shines[node+o.cols+1], w[3])
}

// Show paints the scene for somebody, under a white of its own, which it says.
func (c *Scene) Show(dst *image.RGBA, as As) (img *image.RGBA, says string) {
	tone := toneOf(as, c)
	return c.paint(dst, true, tone.of), tone.says()
}

// Scaled paints a quantity, Y of what is at every point, by equal ratios from low to high.
func (c *Scene) Scaled(dst *image.RGBA, low, high float64) *image.RGBA {
	scale := decades{low, high}
	return c.paint(dst, true, func(v *room.Shine) shown {
		s := shade(scale.share(float64(v.Y)))
		return shown{float32(s.R), float32(s.G), float32(s.B)}
	})
}
