// Package light is the physics of the show: spectra, colour, emitters, beams,
// mixing, dimming, fluorescence, the eye, and photobiological weighting. Begin with a
// [Spectrum] ([LED], [Phosphor], [Table]), ask it for its [Spectrum.XYZ] or
// [Spectrum.UVA], and mix colours with [NewMixer] and [Mixer.Mix]; [Paint.Glow] is what a
// painted thing makes of a spectrum, [Beam.Distribution] where the light goes.
//
// # Spectra
//
// A Spectrum holds 481 values, one for each nanometre from 300 to 780, in
// watts per nanometre (or W/m²/nm, or a plain factor per nanometre). A sum of
// samples is therefore an integral. One nanometre is the step of the CIE
// tables themselves (CIE 018:2019), so no table is interpolated except those
// that are published at 5 nm; a 10 nm wide LED is integrated to 1e-9.
//
// # Colour
//
// XYZ is absolute: Y carries lumens (or lux, or cd/m²) and X and Z are in the
// same unit. Chromaticities are XY (CIE 1931) and UV (CIE 1976 u'v');
// differences are CIEDE2000 (CIE 142:2001) in CIELAB.
//
// # Mixing
//
// A Mixer finds drives between 0 and 1 for any number of emitters. Light is
// linear in the drives; all non-linearity sits in a Curve, which turns drives
// into slots and is inverted in light, not in slot numbers. Of the many exact
// mixes the Mixer returns the one that minimises power plus a small share of
// the drives' squares: a strictly convex problem, whose answer is unique and
// moves continuously with the target, where a corner of a linear programme
// would jump.
//
// # Glow
//
// A Paint reflects, and absorbs photons and gives some of them back at wavelengths of its
// own, by a table (Bispectral, Donaldson's matrix without its diagonal):
//
//	F(λ) = R(λ) E(λ) + ∫ D(μ, λ) E(μ) dμ
//
// with the irradiance E and the reflectance R. The luminance of the glow is 683/π times the
// integral of the second term with V. The tables of the generic paints are computed from
// published dyes in a coat of paint by two fluxes, with what the coat takes up of its own
// light; a measured one stands in their place as it is.
//
// Nothing here keeps state, reads a clock or starts a goroutine. What a user
// can get wrong (a width of zero, a beam of 360°, a NaN) is an error that says
// what was found and what was wanted.
package light
