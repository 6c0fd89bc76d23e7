// Package score is what shall be seen, and when: [Read] reads score.yaml into a
// [Score] of looks, and of cues that bring them, with all that is wrong in it.
// It says nothing of slots; package show solves it for a rig in a room.
//
// A look is the whole picture at a moment. Its parts are added in order; what
// no part names is dark. A part addresses a system, or units by name, and asks
// for a colour at a level, for lux on a surface, for levels of named emitters,
// or for an object to glow over its background.
//
// A cue brings a look. It starts at a time, or on a moment of the soundtrack,
// and says how it lands there: its change starts, peaks or completes on it.
//
//	cue 5:  at 0:12.400, look lagoon, up 6 s, lands starts
//	          0:12.4            0:18.4
//	             |______up 6 s_____|        whatever rises takes up,
//	             |___down 6 s______|        whatever falls takes down
//
//	cue 10: on hit 0:31.20, look pearls, up 0.1 s, returns 1.2 s, lands peaks
//	        0:31.1 |^| 0:31.2 ... 0:32.4    a bump: it goes there, holds, and
//	                                        falls back to what was
//
// The state at an instant depends on the cue list and the time alone.
//
// The model is the trade's cue list, with the grammar of docs/files.md. It does
// not see whether a system, an object or a moment of the soundtrack exists, nor
// whether a look can be had: packages show and check tell.
package score
