package manual_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lampblack/rig/manual"
)

// part is a range of a rendered slot: what its words are, and what it does.
type part struct {
	from, to    int
	words, does string
}

// rendered is a slot of a random table with its truth.
type rendered struct {
	name   string
	parts  []part
	drives string
	dims   bool
}

// tongue is how makers of one language call things.
type tongue struct {
	light                                   map[string][]string
	master, strobe, programs, speed         []string
	steady, idle, slowFast, program, sounds []string
	slot                                    []string
}

var tongues = []tongue{
	{light: map[string][]string{"red": {"Red", "RED", "red dimmer", "Red 0-100%"}, "green": {"Green", "green LEDs"}, "blue": {"Blue", "Blue intensity"}, "white": {"White", "white dimming"}, "amber": {"Amber"}, "uv": {"UV", "Ultraviolet", "Black light"}},
		master: []string{"Dimmer", "Master dimmer", "Intensity", "Total dimming"}, strobe: []string{"Strobe", "Shutter/strobe", "Flash"}, programs: []string{"Macro", "Auto programs", "Colour macros", "Programs"}, speed: []string{"Speed", "Program speed", "Auto speed"},
		steady: []string{"no strobe", "off", "open", "no function", "strobe off"}, idle: []string{"no function", "off", "none"}, slowFast: []string{"slow to fast", "strobe slow -> fast", "from slow to fast", "slow-fast"}, program: []string{"auto", "colour change", "fade", "jump", "preset colours"}, sounds: []string{"sound", "music mode", "sound active"},
		slot: []string{"CH%d", "Channel %d", "%d", "Ch. %02d", "Slot %d"}},
	{light: map[string][]string{"red": {"Rot", "rot"}, "green": {"Grün", "gruen"}, "blue": {"Blau"}, "white": {"Weiß", "Weiss"}, "amber": {"Amber", "Bernstein"}, "uv": {"UV", "Schwarzlicht"}},
		master: []string{"Dimmer", "Hauptdimmer", "Gesamthelligkeit", "Dimmer gesamt"}, strobe: []string{"Strobe", "Stroboskop", "Blitz"}, programs: []string{"Programme", "Farbmakros", "Automatik"}, speed: []string{"Geschwindigkeit", "Programmgeschwindigkeit"},
		steady: []string{"aus", "keine Funktion", "offen"}, idle: []string{"keine Funktion", "aus", "ohne Funktion"}, slowFast: []string{"langsam bis schnell", "langsam -> schnell", "Blitz langsam - schnell"}, program: []string{"Farbwechsel", "Automatik", "Überblendung"}, sounds: []string{"Musiksteuerung", "musikgesteuert"},
		slot: []string{"Kanal %d", "%d", "K%d"}},
	{light: map[string][]string{"red": {"Rouge"}, "green": {"Vert"}, "blue": {"Bleu"}, "white": {"Blanc"}, "amber": {"Ambre"}, "uv": {"UV", "Lumière noire"}},
		master: []string{"Gradateur général", "Gradateur", "Intensité"}, strobe: []string{"Stroboscope", "Strobo"}, programs: []string{"Programmes", "Macros"}, speed: []string{"Vitesse"},
		steady: []string{"arrêt", "sans fonction", "ouvert"}, idle: []string{"sans fonction", "aucune fonction"}, slowFast: []string{"lent à rapide", "de lent à rapide"}, program: []string{"changement de couleur", "automatique"}, sounds: []string{"mode musical", "musique"},
		slot: []string{"Canal %d", "%d"}},
	{light: map[string][]string{"red": {"Rojo"}, "green": {"Verde"}, "blue": {"Azul"}, "white": {"Blanco"}, "amber": {"Ámbar"}, "uv": {"UV", "Luz negra"}},
		master: []string{"Atenuador general", "Dimmer", "Intensidad"}, strobe: []string{"Estrobo", "Estroboscopio"}, programs: []string{"Programas", "Macros"}, speed: []string{"Velocidad"},
		steady: []string{"apagado", "sin función", "abierto"}, idle: []string{"sin función", "ninguna"}, slowFast: []string{"lento a rápido", "de lento a rápido"}, program: []string{"cambio de color", "automático"}, sounds: []string{"sonido", "activado por sonido"},
		slot: []string{"Canal %d", "%d"}},
}

func pick(r *rand.Rand, list []string) string { return list[r.IntN(len(list))] }

// random is a mode such as cheap lamps have, in one language.
func random(r *rand.Rand, t *tongue) (out []rendered) {
	lights := []string{"red", "green", "blue"}
	for _, l := range []string{"white", "amber", "uv"} {
		if r.IntN(2) == 0 {
			lights = append(lights, l)
		}
	}
	for _, l := range lights {
		out = append(out, rendered{name: pick(r, t.light[l]), drives: l})
	}
	if r.IntN(4) > 0 {
		out = slices.Insert(out, r.IntN(2)*len(out), rendered{name: pick(r, t.master), dims: true})
	}
	if r.IntN(4) > 0 {
		at := 4 + r.IntN(20)
		s := rendered{name: pick(r, t.strobe), parts: []part{{0, at, pick(r, t.steady), "open"}, {at + 1, 255, pick(r, t.slowFast), "flash slow to fast"}}}
		if r.IntN(3) == 0 {
			s.parts[1] = part{at + 1, 249, fmt.Sprintf("%d-%d Hz", 1+r.IntN(2), 10+r.IntN(10)), ""}
			var low, top int
			fmt.Sscanf(s.parts[1].words, "%d-%d", &low, &top)
			s.parts[1].does = fmt.Sprintf("flash %d Hz to %d Hz", low, top)
			s.parts = append(s.parts, part{250, 255, pick(r, t.steady), "open"})
		}
		out = append(out, s)
	}
	if r.IntN(3) > 0 {
		at := 7 + r.IntN(20)
		s := rendered{name: pick(r, t.programs), parts: []part{{0, at, pick(r, t.idle), "nothing"}}}
		for at < 200 {
			to := min(at+30+r.IntN(60), 230)
			s.parts = append(s.parts, part{at + 1, to, pick(r, t.program), "never"})
			at = to
		}
		s.parts = append(s.parts, part{at + 1, 255, pick(r, t.sounds), "never"})
		out = append(out, s, rendered{name: pick(r, t.speed), parts: []part{{0, 255, "", "never"}}})
	}
	return out
}

// styles render a table in the manner of one kind of manual.
var styles = map[string]func(r *rand.Rand, t *tongue, slots []rendered) string{
	"one line a slot": func(r *rand.Rand, t *tongue, slots []rendered) string {
		form, dash, sep := pick(r, t.slot), pick(r, []string{"-", " - ", "–", " to ", "..."}), pick(r, []string{", ", " / ", "; "})
		return lines(slots, func(n int, s rendered) string {
			var p []string
			for _, x := range ranged(s) {
				p = append(p, fmt.Sprintf("%d%s%d %s", x.from, dash, x.to, x.words))
			}
			return fmt.Sprintf(form, n) + pick(r, []string{": ", "  ", " = "}) + s.name + "  " + strings.Join(p, sep)
		})
	},
	"a line a range": func(r *rand.Rand, t *tongue, slots []rendered) string {
		form := pick(r, t.slot)
		return lines(slots, func(n int, s rendered) string {
			var b strings.Builder
			fmt.Fprintf(&b, form+"  %s", n, s.name)
			for _, x := range ranged(s) {
				fmt.Fprintf(&b, "\n    %03d-%03d  %s", x.from, x.to, x.words)
			}
			return b.String()
		})
	},
	"tabs": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return "Channel\tValue\tFunction\n" + lines(slots, func(n int, s rendered) string {
			return rowsOf(n, s, func(slot string, x part, words string) string {
				return fmt.Sprintf("%s\t%d-%d\t%s", slot, x.from, x.to, words)
			})
		})
	},
	"pipes, meaning first": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return "| CH | Function | Value |\n|----|----|----|\n" + lines(slots, func(n int, s rendered) string {
			return rowsOf(n, s, func(slot string, x part, words string) string {
				return fmt.Sprintf("| %s | %s | %d - %d |", slot, words, x.from, x.to)
			})
		})
	},
	"commas, from and to": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return "Channel,Name,From,To,Meaning\n" + lines(slots, func(n int, s rendered) string {
			var b []string
			for _, x := range always(s) {
				b = append(b, fmt.Sprintf(`%d,"%s",%d,%d,"%s"`, n, s.name, x.from, x.to, x.words))
			}
			return strings.Join(b, "\n")
		})
	},
	"page source": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return "<table><tr><th>Channel</th><th>Value</th><th>Function</th></tr>\n" + lines(slots, func(n int, s rendered) string {
			list := always(s)
			var b []string
			for i, x := range list {
				slot := ""
				if i == 0 {
					slot = fmt.Sprintf(`<td rowspan="%d">%d</td>`, len(list), n)
				}
				words := x.words
				if len(s.parts) == 0 || words == "" || i == 0 {
					words = strings.TrimSpace(s.name + " " + words)
				}
				b = append(b, fmt.Sprintf("<tr>%s<td>%d&ndash;%d</td><td>%s</td></tr>", slot, x.from, x.to, words))
			}
			return strings.Join(b, "\n")
		}) + "</table>"
	},
	"sideways": func(r *rand.Rand, t *tongue, slots []rendered) string {
		head, names, values := []string{"Channel"}, []string{"Function"}, []string{"Value"}
		for i, s := range slots {
			var p []string
			for _, x := range always(s) {
				p = append(p, strings.TrimSpace(fmt.Sprintf("%d-%d %s", x.from, x.to, x.words)))
			}
			head, names, values = append(head, fmt.Sprint(i+1)), append(names, s.name), append(values, strings.Join(p, ", "))
		}
		return strings.Join(head, "\t") + "\n" + strings.Join(names, "\t") + "\n" + strings.Join(values, "\t") + "\n"
	},
	"a quoted mail": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return "On Monday somebody wrote:\n> > which channels are they?\n>\n" + lines(slots, func(n int, s rendered) string {
			var p []string
			for _, x := range ranged(s) {
				p = append(p, fmt.Sprintf("%d-%d = %s", x.from, x.to, x.words))
			}
			return fmt.Sprintf("> %d: %s %s", n, s.name, strings.Join(p, ", "))
		}) + "\nThanks!\n"
	},
	"bullets": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return lines(slots, func(n int, s rendered) string {
			b := fmt.Sprintf("* **CH%d** - %s", n, s.name)
			for _, x := range ranged(s) {
				b += fmt.Sprintf("\n    * %d–%d: %s", x.from, x.to, x.words)
			}
			return b
		})
	},
	"columns downwards": func(r *rand.Rand, t *tongue, slots []rendered) string {
		text := []string{"Channel"}
		for i := range slots {
			text = append(text, fmt.Sprint(i+1))
		}
		text = append(text, "Function")
		for _, s := range slots {
			text = append(text, s.name)
		}
		text = append(text, "Value")
		for _, s := range slots {
			var p []string
			for _, x := range always(s) {
				p = append(p, strings.TrimSpace(fmt.Sprintf("%d-%d %s", x.from, x.to, x.words)))
			}
			text = append(text, strings.Join(p, ", "))
		}
		return strings.Join(text, "\n") + "\n"
	},
	"in brackets": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return lines(slots, func(n int, s rendered) string {
			var p []string
			for _, x := range ranged(s) {
				p = append(p, strings.TrimSpace(fmt.Sprintf("%d-%d %s", x.from, x.to, x.words)))
			}
			if p == nil {
				return fmt.Sprintf("%d) %s", n, s.name)
			}
			return fmt.Sprintf("%d) %s (%s)", n, s.name, strings.Join(p, ", "))
		})
	},
	"pulled apart": func(r *rand.Rand, t *tongue, slots []rendered) string {
		return lines(slots, func(n int, s rendered) string {
			list := ranged(s)
			if len(list) < 2 {
				return fmt.Sprintf("CH%d\n%s\n0-255", n, s.name)
			}
			var a, b []string
			for _, x := range list {
				a, b = append(a, fmt.Sprintf("%d-%d", x.from, x.to)), append(b, strings.ToUpper(string([]rune(x.words)[:1]))+string([]rune(x.words)[1:]))
			}
			return fmt.Sprintf("CH%d\n%s\n%s\n%s", n, s.name, strings.Join(a, "\n"), strings.Join(b, "\n"))
		})
	},
}

func lines(slots []rendered, f func(n int, s rendered) string) string {
	var out []string
	for i, s := range slots {
		out = append(out, f(i+1, s))
	}
	return strings.Join(out, "\n") + "\n"
}

// ranged are the ranges of a slot that has several; always gives one over all to others.
func ranged(s rendered) []part {
	if len(s.parts) < 2 {
		return nil
	}
	return s.parts
}

func always(s rendered) []part {
	if len(s.parts) < 2 {
		return []part{{0, 255, "", ""}}
	}
	return s.parts
}

// rowsOf writes a slot as rows; its name stands in the first, where no words do.
func rowsOf(n int, s rendered, row func(slot string, x part, words string) string) string {
	var b []string
	for i, x := range always(s) {
		slot, words := "", x.words
		if i == 0 {
			slot = fmt.Sprint(n)
			words = strings.TrimSpace(s.name + " " + words)
		}
		b = append(b, row(slot, x, words))
	}
	return strings.Join(b, "\n")
}

func truth(s rendered) reading {
	out := reading{drives: s.drives}
	if s.dims {
		out.dims = "all"
	}
	for _, p := range s.parts {
		out.fill(p.from, p.to, p.does)
	}
	return out
}

// Random tables in twelve manners and four languages are read as they were meant, or asked
// about. They are of the reader's own making, so the figure is optimistic.
func TestRendered(t *testing.T) {
	const each = 60
	all, wrong, silent := 0, 0, 0
	for style, render := range styles {
		bad := 0
		for seed := range uint64(each) {
			r := rand.New(rand.NewPCG(seed, 7))
			in := &tongues[r.IntN(len(tongues))]
			slots := random(r, in)
			text := render(r, in, slots)
			got := manual.Read([]byte(text))
			all++
			how := ""
			if len(got.Modes) != 1 || len(got.Modes[0].Slots) != len(slots) {
				how = fmt.Sprintf("%d modes", len(got.Modes))
			}
			quiet := false
			for i := 0; i < len(slots) && how == ""; i++ {
				s := &got.Modes[0].Slots[i]
				if d := differ(read(s), truth(slots[i]), false); d != "" {
					how = fmt.Sprintf("slot %d: %s", i+1, d)
					quiet = !slices.ContainsFunc(got.Questions, func(q manual.Question) bool { return q.Slot == s.Coarse || q.Slot == 0 })
				}
			}
			if how != "" {
				bad++
				wrong++
				if quiet || len(got.Questions) == 0 {
					silent++
					how += " SILENT"
				}
				if bad <= 2 {
					t.Logf("%s, seed %d: %s\n%s", style, seed, how, text)
				}
			}
		}
		t.Logf("%-22s %d of %d wrong", style, bad, each)
	}
	t.Logf("%d of %d random tables read as they were meant; %d of the others silently", all-wrong, all, silent)
	if wrong > all/50 || silent > 0 {
		t.Errorf("%d wrong of %d, %d silently", wrong, all, silent)
	}
}
