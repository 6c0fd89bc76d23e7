// Package positions suggests where units hang or stand and what they aim at, so that looks get the light
// that they ask for: [Find] for a show's files.
//
//	Find(ctx, files, Options) ──▶ *Plan   places and aims by unit, goals that stay missed, more units that would do
//
// The model. Light is linear, so a look that is fed by units at some places is a convex problem in the
// levels of its units x, 0 to 1:
//
//	minimise  Σ w (a·x − 1)²          lux, each over what is wanted
//	        + Σ w max(0, b − a·x)²    glow, over its background, evenness: at least
//	        + Σ w max(0, a·x − b)²    dark surfaces, others unseen, ultraviolet at eyes: at most
//
// with rows a read from the room's own transport, reflected light, shadows and glow with it. Which places
// make that sum smallest is no convex question. It is answered in steps, all of one seed:
//
//	places allowed ─▶ some hundred candidates ─▶ their light, coarse, in one go
//	   ─▶ one unit after another where it helps most ─▶ units exchanged for other candidates while that helps
//	   ─▶ each moved and turned by less and less (pattern search: Hooke and Jeeves 1961, from memory)
//	   ─▶ the verdict: the room carried as finely as for a run, looks solved by package show
//
// Things that cross the stage are known by a few of their poses. The answer is good, not proved best. It does not
// see: what hides units from view or looks ugly, cables, what a point in a building carries.
package positions
