// Package doors is the last round before the audience comes in: a list of what is to be
// so, asked of the computer where it can be asked, and looked at by a person where not.
//
//	list := doors.New(doors.Setup{Machine: doors.This(), Units: units, Identify: pulse})
//	list.Ask(ctx)                            // the computer, all at once, within seconds
//	list.Try(ctx, "unit par 1")              // the lamp pulses slowly, and no other does
//	list.Tick("unit par 1", doors.Good, "")  // and a person has seen it
//	list.Sum().String()                      // "14 of 16 good; not good: mains (…)"
//
// Nothing is good that nobody asked or looked at: what cannot be asked here is open, and
// says what to look at. A list is values and probes that are handed in, so that it is
// tested without a laptop; what each system is asked, and how its answers are read, is in
// machine_linux.go, machine_darwin.go and machine_windows.go.
package doors
