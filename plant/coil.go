package plant

// coil is what the voltage at the coil of a brake does.
type coil struct {
	opens, stays bool // it opens the closed brake, it keeps the open one open
	stuckOn      bool // the output stays on, whatever the command
}

// coilOf compares the voltage u at the coil with the two limits of the brake, all as shares of
// the rated voltage. Springs yield to a pull that grows with u; the permanent magnet is
// cancelled at u = m, its strength, and both too little and too much leave a flux:
//
//	springs:           lack = 1 − u
//	permanent magnet:  lack = |m − u|
//	opens if lack ≤ 1 − u_pull-in, stays open if lack ≤ 1 − u_drop-out
//
// The lower limit for staying open is the hysteresis of a magnet that acts across a smaller gap.
// DIN VDE 0580 asks for operation from 0.9 to 1.1 of the rated voltage, warm (from memory);
// pull-in at 0.6 to 0.8 and drop-out at 0.1 to 0.35 are common practice. Limits: the voltage
// does not change the times, and the pull-in does not change with air gap or temperature.
func coilOf(b *Brake) coil {
	lack := 1 - b.CoilVoltage
	if b.Kind == KindMagnet {
		lack = max(b.MagnetStrength-b.CoilVoltage, b.CoilVoltage-b.MagnetStrength)
	}
	return coil{opens: lack <= 1-b.PullInVoltage, stays: lack <= 1-b.DropOutVoltage, stuckOn: b.OutputStuckOn}
}

// attracts is whether a coil under voltage opens a brake, or keeps it open.
func (c *coil) attracts(closed bool) bool {
	if closed {
		return c.opens
	}
	return c.stays
}

// closingForce is the force on the friction disc with a voltage u at the coil, both as shares of
// the rated values. The pull of a magnet is proportional to the square of its flux, and the flux
// of the coil to its voltage:
//
//	springs:           F = 1 − u²
//	permanent magnet:  F = (m − u)²  with m the strength of the magnet, at most 1
//
// less the share that the hand release takes, none below 0. Source: Maxwell's pull and the
// superposition of two fluxes, any text on electromagnetism; saturation is neglected.
func closingForce(b *Brake, u float64) float64 {
	force := 1 - float64(u*u)
	if b.Kind == KindMagnet {
		flux := b.MagnetStrength - u
		force = min(1, float64(flux*flux))
	}
	return max(0, force-b.HandRelease)
}
