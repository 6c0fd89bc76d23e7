package plate

import (
	"image"

	"lampblack/room"
)

// own is what pixels show of themselves and in their mirrors, ready to be asked.
type own struct {
	scene *Scene
	where []int32 // by pixel: a cell, or below 0 an edge: -1 - its number
}

// where finds the cell or edge of every pixel.
func (s *Sight) where() []int32 {
	if s.whereIs == nil {
		s.whereIs = make([]int32, len(s.panels))
		for i := range s.cells {
			c := &s.cells[i]
			for y := c.y0; y < c.y1; y++ {
				for x := c.x0; x < c.x1; x++ {
					s.whereIs[int(y)*s.Width+int(x)] = int32(i)
				}
			}
		}
		for i := range s.edges {
			s.whereIs[s.edges[i].at] = int32(-1 - i)
		}
	}
	return s.whereIs
}

// at is what a pixel shows of its own light, what it mirrors, and by what share.
func (o *own) at(pixel int32) (matt, in room.Shine, share float32) {
	s := o.scene.sight
	add := func(point int32, weight float32) {
		if point < 0 {
			return
		}
		p := &s.points[point]
		matt = matt.Plus(&o.scene.shines[point], weight)
		if p.mirror >= 0 {
			m := &o.scene.mirrored[p.mirror]
			by := s.mirrored[p.mirror].share
			matt = matt.Plus(m, -by*weight)
			in = in.Plus(m, weight)
			share += by * weight
		}
	}
	if w := o.where[pixel]; w < 0 {
		for _, p := range s.edges[-1-w].point {
			add(p, .25)
		}
	} else {
		c := &s.cells[w]
		x, y := float32(int(pixel)%s.Width-int(c.x0))/float32(c.x1-c.x0), float32(int(pixel)/s.Width-int(c.y0))/float32(c.y1-c.y0)
		for k, f := range [4]float32{(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y} {
			add(c.corner[k], f)
		}
	}
	return matt, in, share
}

// images are what a picture shows of things in its mirrors: for each pixel, what it looks like with them.
func (c *Scene) images() map[int32]room.Shine {
	if len(c.inMirrors) == 0 {
		return nil
	}
	o := own{c, c.sight.where()}
	type pixel struct {
		matt, in room.Shine
		share    float32
	}
	pixels := map[int32]*pixel{}
	for k := range c.inMirrors {
		one := &c.inMirrors[k]
		for i := range one.pixels {
			at := &one.pixels[i]
			p := pixels[at.at]
			if p == nil {
				p = &pixel{}
				p.matt, p.in, p.share = o.at(at.at)
				pixels[at.at] = p
			}
			v := one.shine(at)
			p.in = room.Shine{}.Plus(&p.in, 1-at.share).Plus(&v, at.share)
		}
	}
	out := make(map[int32]room.Shine, len(pixels))
	for i, p := range pixels {
		out[i] = p.matt.Plus(&p.in, p.share)
	}
	return out
}

// paintImages lays things in mirrors over the picture.
func (c *Scene) paintImages(dst *image.RGBA, paint func(*room.Shine) shown) {
	for i, v := range c.images() {
		for k, code := range paint(&v) {
			dst.Pix[4*int(i)+k] = uint8(code + .5)
		}
	}
}
