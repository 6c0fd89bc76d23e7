package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"lampblack/rig"
	"lampblack/rig/cabling"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

const powerHelp = `Plan the supply: which unit is plugged into which circuit or into which unit before
it, with leads of the lengths that you own. Circuits and phases are filled alike, none
beyond 80 % of its breaker, 30 % of its residual current device, the makers' numbers of
linked units, the couplers, its sockets, or what its breaker lets pass at switching on.
Circuits that carry sound or anything else, and those that are dimmed, are left free.

rig.yaml says the circuits; "at" where their outlets are (at the nearest wall, if
absent) and "sockets" how many there are (as many as it takes). All units count at
their rated maximum at once. Up to 14 units on two circuits, 12 on three, the plan is the least of
all: metres of cable, 50 m for a circuit filled to its limit, 20 m for phases filled
alike; of more it says how far from the least it may be. What cannot be kept is said.

  lampblack power DIR
  lampblack power DIR --keep kitchen     leave the circuit kitchen free
  lampblack power DIR --write            written into rig.yaml

A plan on paper makes no supply safe: a competent person tests it, local codes decide.
Leads are unwound, whole, off the ways out, and dry.`

func powerCmd() *cobra.Command {
	var f cableFlags
	c := &cobra.Command{
		Use:   "power DIR",
		Short: "plan the supply: circuits filled alike, chains, leads",
		Long:  powerHelp,
		Args:  dirArg,
		RunE:  func(c *cobra.Command, args []string) error { return planPower(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.leads, "lengths", cabling.Usual.String(), `lengths of leads that you own, as "3, 5, 4 of 10 m"`)
	c.Flags().StringSliceVar(&f.keep, "keep", nil, "circuits to leave free")
	c.Flags().BoolVar(&f.write, "write", false, "write what feeds what into rig.yaml")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the plan as JSON")
	return c
}

// supply are the options of circuits.
func (f *cableFlags) supply(l *loaded) (o cabling.Supply, err error) {
	if o.Leads, err = cabling.ReadStock(f.leads); err != nil {
		return o, hinted{err, `as --lengths "3, 5, 4 of 10 m"`}
	}
	names := source.Names(l.files.Rig.Circuits)
	for _, k := range f.keep {
		if !slices.Contains(names, k) {
			return o, hinted{fmt.Errorf("there is no circuit %q", k), source.OneOf(k, names)}
		}
	}
	o.Keep = f.keep
	if l.files.Bill.Wiring == show.CodeUS {
		o.Strict, o.Voltage = true, 120
	}
	o.Walls = wallsOf(l.files.Room)
	return o, nil
}

func wallsOf(r *room.Room) cabling.Walls {
	if r == nil {
		return cabling.Walls{}
	}
	return cabling.Walls{Left: -r.Size[0] / 2, Right: r.Size[0] / 2, Front: -r.Front, Back: r.Size[1] - r.Front}
}

func planPower(c *cobra.Command, dir string, f *cableFlags) error {
	l, err := rigOf(c, dir)
	if err != nil {
		return err
	}
	defer l.close()
	o, err := f.supply(l)
	if err != nil {
		return err
	}
	r := l.files.Rig
	plan, err := cabling.PlanCircuits(r, o)
	if err != nil {
		return powerHint(err)
	}
	if f.asJSON {
		err = writeJSON(c.OutOrStdout(), powerOut(r, plan))
	} else {
		writePower(c.OutOrStdout(), r, plan)
	}
	if err != nil || !f.write {
		return err
	}
	if !plan.Placed {
		return hinted{errors.New("not written: the places of some units are guesses"), "say at: for each unit in " + show.RigFile}
	}
	return writeRig(c, l, "what feeds what", func(data []byte) ([]byte, error) { return plan.Write(show.RigFile, data, r) })
}

func powerHint(err error) error {
	if errors.Is(err, cabling.ErrNoCircuits) {
		return hinted{err, "circuits: in " + show.RigFile + ", as left: {breaker: C16, residual current device: 30 mA, sockets: 2, at: [-4 m, 0 m, 0.3 m]}"}
	}
	return unitsHint(err)
}

// writePower prints what feeds what, and what each circuit comes to.
func writePower(w io.Writer, r *rig.Rig, p *cabling.Circuits) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "circuit\tfrom\tto\tlead\tis now")
	for i := range p.Circuits {
		c := &p.Circuits[i]
		name := source.Visible(c.Name)
		for _, chain := range c.Chains {
			for _, f := range chain {
				from := "outlet"
				if f.From >= 0 {
					from = source.Visible(r.Units[f.From].Name.Name)
				}
				fmt.Fprintf(t, "%s\t%s\t%s\t%s, %v, %v\t%s\n", name, from, source.Visible(r.Units[f.Unit].Name.Name), pieces(f.Pieces), f.Lead.Section, f.Lead.Connector, fedNow(r, c.Name, &f))
				name = ""
			}
		}
	}
	t.Flush()
	fmt.Fprintln(w)
	t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "circuit\tdrawn, of\tsurge, lets pass\tleak, should see\tlost, may be\tsockets")
	for i := range p.Circuits {
		writeCircuit(t, &p.Circuits[i])
	}
	t.Flush()
	fmt.Fprintln(w)
	for _, line := range powerNotes(r, p) {
		fmt.Fprintln(w, line)
	}
}

// fedNow is what feeds a unit as the rig has it, where that changes.
func fedNow(r *rig.Rig, circuit string, f *cabling.Feed) string {
	u := &r.Units[f.Unit]
	switch {
	case u.FedBy.Name != "":
		if f.From >= 0 && r.Units[f.From].Name.Name == u.FedBy.Name {
			return ""
		}
		return source.Visible(u.FedBy.Name)
	case u.Circuit.Name == "" || f.From < 0 && u.Circuit.Name == circuit:
		return ""
	}
	return "outlet of " + source.Visible(u.Circuit.Name)
}

func writeCircuit(w io.Writer, c *cabling.Circuit) {
	name := source.Visible(c.Name)
	if c.Phase != "" {
		name += ", " + string(c.Phase)
	}
	if c.Why != "" {
		fmt.Fprintf(w, "%s\tleft free: %s\t\t\t\t\n", name, source.Visible(c.Why))
		return
	}
	pair := func(v, most float64, unit string) string {
		if !(most > 0 && most < 1e9) {
			return si.Say(v, unit)
		}
		return si.Say(v, unit) + ", " + si.Say(most, unit)
	}
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%d\n", name, pair(float64(c.Amperes), float64(c.Limit), "A"), pair(float64(c.Surge), float64(c.Stands), "A"),
		pair(float64(c.Leakage), float64(c.Leaking), "A"), pair(float64(c.Drop), float64(c.MostDrop), "V"), len(c.Chains))
}

// easeSays is what is done about a limit that could not be kept.
var easeSays = map[cabling.Ease]string{
	cabling.EaseSurge:   "Not kept: the surge at switching on. Switch circuits on in groups, some seconds apart.",
	cabling.EaseShare:   "Not kept: 80 % of a breaker. Units at full for long may trip it; more circuits, or fewer units at full.",
	cabling.EaseLeakage: "Not kept: 30 % of a residual current device. It may trip by itself; more devices, or fewer units behind one.",
	cabling.EaseNeutral: "Not kept: the neutral of three phases may carry more than a breaker's rating. A competent person looks at it first.",
	cabling.EaseDrop:    "Not kept: 3 % of the voltage at the end of a chain. Shorter or thicker cables, or outlets that are nearer.",
}

// powerNotes are the words below the lists.
func powerNotes(r *rig.Rig, p *cabling.Circuits) []string {
	out := []string{fmt.Sprintf("%s of leads. %s All units at their rated maximum at once.", si.Say(float64(p.Metres), "m"), nearness(p.Exact, p.Cost, p.Bound))}
	for _, e := range p.Eased {
		out = append(out, easeSays[e])
	}
	out = append(out, leftOut(r, p.Left)...)
	if p.Unsaid != nil {
		out = append(out, "Counted as nothing, as their power is not known: "+source.Visible(strings.Join(p.Unsaid, ", "))+".")
	}
	if p.Alone != nil {
		out = append(out, "A socket each, as they do not say link: or through: "+source.Visible(strings.Join(p.Alone, ", "))+".")
	}
	if !p.Outlets {
		out = append(out, "Outlets are taken to be at the nearest wall where circuits do not say at.")
	}
	if !p.Placed {
		out = append(out, "The places of some units are guesses: say at: for each in "+show.RigFile+", and plan again.")
	}
	return append(out, "Sound, the computer and outputs go to a circuit without lights. A competent person tests the supply; local codes decide.")
}

type feedOut struct {
	Unit      string    `json:"unit"`
	From      string    `json:"from,omitempty"` // a unit; from the outlet when absent
	Leads     []float64 `json:"leads_m"`
	Section   string    `json:"section"`
	Connector string    `json:"connector"`
}

type circuitOut struct {
	Circuit string      `json:"circuit"`
	Free    string      `json:"left_free,omitempty"`
	Amperes float64     `json:"drawn_a"`
	Limit   float64     `json:"limit_a"`
	Surge   float64     `json:"surge_a"`
	Leakage float64     `json:"leakage_a"`
	Drop    float64     `json:"drop_v"`
	Chains  [][]feedOut `json:"chains"`
}

type supplyOut struct {
	Circuits []circuitOut   `json:"circuits"`
	Metres   float64        `json:"leads_m"`
	Least    bool           `json:"least"`
	Bound    float64        `json:"at_most_less_percent"`
	NotKept  []cabling.Ease `json:"not_kept,omitempty"`
	Unsaid   []string       `json:"power_unknown,omitempty"`
	Guessed  bool           `json:"guessed_places"`
	LeftOut  []string       `json:"left_out,omitempty"`
}

func powerOut(r *rig.Rig, p *cabling.Circuits) supplyOut {
	out := supplyOut{Metres: float64(p.Metres), Least: p.Exact, Bound: 100 * cabling.Apart(p.Cost, p.Bound), NotKept: p.Eased, Unsaid: p.Unsaid, Guessed: !p.Placed}
	for _, u := range p.Left {
		out.LeftOut = append(out.LeftOut, r.Units[u].Name.Name)
	}
	for i := range p.Circuits {
		c := &p.Circuits[i]
		one := circuitOut{Circuit: c.Name, Free: c.Why, Amperes: float64(c.Amperes), Limit: float64(c.Limit), Surge: float64(c.Surge), Leakage: float64(c.Leakage), Drop: float64(c.Drop)}
		for _, chain := range c.Chains {
			var feeds []feedOut
			for _, f := range chain {
				o := feedOut{Unit: r.Units[f.Unit].Name.Name, Leads: numbers(f.Pieces), Section: f.Lead.Section.String(), Connector: f.Lead.Connector.String()}
				if f.From >= 0 {
					o.From = r.Units[f.From].Name.Name
				}
				feeds = append(feeds, o)
			}
			one.Chains = append(one.Chains, feeds)
		}
		out.Circuits = append(out.Circuits, one)
	}
	return out
}
