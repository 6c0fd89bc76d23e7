// Package demo holds three shows, whole: fixture types, rig, room, looks, cues, and
// soundtracks that are synthesised from plans. [Fish] is "The Lantern Fish", a
// black-light puppet play in a village hall, and [TheLanternFish] the plan of its
// soundtrack; [Evening] is an evening of three short pieces in the same hall, [Walk] a
// walk that opens by itself. [Demo.Write] writes one; [New] writes a small show to begin
// with. Everything in them is invented.
//
// The plan is the truth about the soundtrack: it names the sample on which
// every attack begins, every beat and bar, the sections and which of them
// repeat, the swells, the hushes and the speech-like passages. Whatever claims
// to hear them can be measured against it.
//
//	plan ──▶ Synthesise ──▶ lantern-fish.wav      44.1 kHz, 16 bit, stereo
//	     └─▶ tests: precision and recall of what was heard
//
//	instrument ─start─▶ voice ─┬─ left, right ─┐
//	                           └─ room ─▶ hall ─┴─ gate of cuts ─ bend ─▶ file
//
// The WAV file has the same bytes on every machine. Go may fuse x*y + z into
// one rounding on processors that can, and the assembler versions of some
// functions of package math differ in the last bit; so every product that
// meets a sum here is rounded by an explicit conversion, float64(x*y) + z, and
// sines and powers come from tables that the package computes with +, -, * and
// / alone.
//
// Levels, lengths and ratios without a source are composed, by nobody's rule.
package demo
