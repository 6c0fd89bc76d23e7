package si

// The methods of every quantity: UnmarshalText reads a number with its unit,
// String and MarshalText print one that reads back.

func set[T ~float64](dst *T, q quantity, text []byte) error {
	return take(dst, q.parse, text)
}

func take[T ~float64](dst *T, parse func(string) (float64, error), text []byte) error {
	v, err := parse(string(text))
	if err == nil {
		*dst = T(v)
	}
	return err
}

// UnmarshalText reads a Length with its unit, or feet and inches: 12 ft 6 in.
func (v *Length) UnmarshalText(b []byte) error { return take(v, parseLength, b) }

// MarshalText writes what String writes.
func (v Length) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Length) String() string { return lengths.format(float64(v)) }

// Units lists the unit symbols that a Length may be written with.
func (Length) Units() string { return lengths.symbols() + `, or feet and inches as 12 ft 6 in` }

// UnmarshalText reads an Angle with its unit.
func (v *Angle) UnmarshalText(b []byte) error { return set(v, angles, b) }

// MarshalText writes what String writes.
func (v Angle) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Angle) String() string { return angles.format(float64(v)) }

// Units lists the unit symbols that an Angle may be written with.
func (Angle) Units() string { return angles.symbols() }

// UnmarshalText reads a Wavelength with its unit.
func (v *Wavelength) UnmarshalText(b []byte) error { return set(v, wavelengths, b) }

// MarshalText writes what String writes.
func (v Wavelength) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Wavelength) String() string { return wavelengths.format(float64(v)) }

// Units lists the unit symbols that a Wavelength may be written with.
func (Wavelength) Units() string { return wavelengths.symbols() }

// UnmarshalText reads a Power with its unit.
func (v *Power) UnmarshalText(b []byte) error { return set(v, powers, b) }

// MarshalText writes what String writes.
func (v Power) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Power) String() string { return powers.format(float64(v)) }

// Units lists the unit symbols that a Power may be written with.
func (Power) Units() string { return powers.symbols() }

// UnmarshalText reads an ApparentPower with its unit.
func (v *ApparentPower) UnmarshalText(b []byte) error { return set(v, apparents, b) }

// MarshalText writes what String writes.
func (v ApparentPower) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v ApparentPower) String() string { return apparents.format(float64(v)) }

// Units lists the unit symbols that an ApparentPower may be written with.
func (ApparentPower) Units() string { return apparents.symbols() }

// UnmarshalText reads a LuminousFlux with its unit.
func (v *LuminousFlux) UnmarshalText(b []byte) error { return set(v, fluxes, b) }

// MarshalText writes what String writes.
func (v LuminousFlux) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v LuminousFlux) String() string { return fluxes.format(float64(v)) }

// Units lists the unit symbols that a LuminousFlux may be written with.
func (LuminousFlux) Units() string { return fluxes.symbols() }

// UnmarshalText reads a LuminousIntensity with its unit.
func (v *LuminousIntensity) UnmarshalText(b []byte) error { return set(v, intensities, b) }

// MarshalText writes what String writes.
func (v LuminousIntensity) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v LuminousIntensity) String() string { return intensities.format(float64(v)) }

// Units lists the unit symbols that a LuminousIntensity may be written with.
func (LuminousIntensity) Units() string { return intensities.symbols() }

// UnmarshalText reads an Illuminance with its unit.
func (v *Illuminance) UnmarshalText(b []byte) error { return set(v, illuminances, b) }

// MarshalText writes what String writes.
func (v Illuminance) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Illuminance) String() string { return illuminances.format(float64(v)) }

// Units lists the unit symbols that an Illuminance may be written with.
func (Illuminance) Units() string { return illuminances.symbols() }

// UnmarshalText reads a Luminance with its unit.
func (v *Luminance) UnmarshalText(b []byte) error { return set(v, luminances, b) }

// MarshalText writes what String writes.
func (v Luminance) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Luminance) String() string { return luminances.format(float64(v)) }

// Units lists the unit symbols that a Luminance may be written with.
func (Luminance) Units() string { return luminances.symbols() }

// UnmarshalText reads an Irradiance with its unit.
func (v *Irradiance) UnmarshalText(b []byte) error { return set(v, irradiances, b) }

// MarshalText writes what String writes.
func (v Irradiance) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Irradiance) String() string { return irradiances.format(float64(v)) }

// Units lists the unit symbols that an Irradiance may be written with.
func (Irradiance) Units() string { return irradiances.symbols() }

// UnmarshalText reads a Speed with its unit.
func (v *Speed) UnmarshalText(b []byte) error { return set(v, speeds, b) }

// MarshalText writes what String writes.
func (v Speed) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Speed) String() string { return speeds.format(float64(v)) }

// Units lists the unit symbols that a Speed may be written with.
func (Speed) Units() string { return speeds.symbols() }

// UnmarshalText reads a Current with its unit.
func (v *Current) UnmarshalText(b []byte) error { return set(v, currents, b) }

// MarshalText writes what String writes.
func (v Current) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Current) String() string { return currents.format(float64(v)) }

// Units lists the unit symbols that a Current may be written with.
func (Current) Units() string { return currents.symbols() }

// UnmarshalText reads a Voltage with its unit.
func (v *Voltage) UnmarshalText(b []byte) error { return set(v, voltages, b) }

// MarshalText writes what String writes.
func (v Voltage) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Voltage) String() string { return voltages.format(float64(v)) }

// Units lists the unit symbols that a Voltage may be written with.
func (Voltage) Units() string { return voltages.symbols() }

// UnmarshalText reads a Frequency with its unit.
func (v *Frequency) UnmarshalText(b []byte) error { return set(v, frequencies, b) }

// MarshalText writes what String writes.
func (v Frequency) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Frequency) String() string { return frequencies.format(float64(v)) }

// Units lists the unit symbols that a Frequency may be written with.
func (Frequency) Units() string { return frequencies.symbols() }

// UnmarshalText reads a Temperature with its unit.
func (v *Temperature) UnmarshalText(b []byte) error { return set(v, temperatures, b) }

// MarshalText writes what String writes.
func (v Temperature) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Temperature) String() string { return temperatures.format(float64(v)) }

// Units lists the unit symbols that a Temperature may be written with.
func (Temperature) Units() string { return temperatures.symbols() }

// UnmarshalText reads a Section with its unit.
func (v *Section) UnmarshalText(b []byte) error { return set(v, sections, b) }

// MarshalText writes what String writes.
func (v Section) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Section) String() string { return sections.format(float64(v)) }

// Units lists the unit symbols that a Section may be written with.
func (Section) Units() string { return sections.symbols() }

// UnmarshalText reads a Ratio with its unit.
func (v *Ratio) UnmarshalText(b []byte) error { return set(v, ratios, b) }

// MarshalText writes what String writes.
func (v Ratio) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Ratio) String() string { return ratios.format(float64(v)) }

// Units lists the unit symbols that a Ratio may be written with.
func (Ratio) Units() string { return ratios.symbols() }

// UnmarshalText reads a Mass with its unit.
func (v *Mass) UnmarshalText(b []byte) error { return set(v, masses, b) }

// MarshalText writes what String writes.
func (v Mass) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

func (v Mass) String() string { return masses.format(float64(v)) }

// Units lists the unit symbols that a Mass may be written with.
func (Mass) Units() string { return masses.symbols() }
