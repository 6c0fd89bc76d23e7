// Package draft proposes a first show from what was heard: [Draft] chooses cues
// on moments, each with a reason, by exact optimisation and never by a threshold
// on one moment alone; [Result.Splice] puts them into the text of a score.
// [Known] tells it what a solved show knows, [SpotList] lists the moments to go
// through with the director first.
//
// # What is decided
//
// The track is cut into sections: where the director's wishes say so, else at
// its turns. Each section has a mood, given or estimated from loudness and from
// how much happens. Then two problems are solved:
//
//  1. Looks. Sections that sound alike share a look. Each label gets one, so
//     that looks are as bright as their sections are loud, neighbours differ,
//     and looks come in the order in which the score tells them. Branch and
//     bound over all assignments; Result.Proven says whether it ran to its end.
//
//  2. Cues. Every turn, swell, hush and hit is a candidate with a worth, and a
//     cue has a price: it must earn its place. Chosen is the set of the greatest
//     worth that keeps cues apart, keeps to the most in any minute, to what a
//     section's mood bears, and to the most in all, with the cues that a person
//     wrote counted in. All of these are bounds on how many cues lie in a
//     stretch of time. With the candidates in order and S(i) the number chosen
//     among the first i, they read S(j) - S(i) <= most: a linear programme of
//     differences, whose dual is a flow of least cost, and whose best corners
//     are whole numbers. So the answer is exact, for thousands of candidates.
//
// What comes of it may be judged: [Options].Judge is told of every proposal and
// says what it makes worse than the score without it. Cues that it names go down
// a ladder, slower, then smaller or in another look; where it names none, the
// draft is built up from nothing by halves, changes before the bumps that lie
// over them; what passes at no rung is left out, and other cues may take its
// place. The judge is handed in, so that this package knows neither shows nor
// checks. Judgings are bounded by number, never by time: the same files always
// give the same draft.
//
// It does not hear what is beautiful: worths and moods are figures of common
// practice (no source), and a person decides.
//
// Words keep faces lit and flashes away: nothing bumps while there is a voice
// or where the score asks for calm. Cues written or accepted by a person are
// never touched.
package draft
