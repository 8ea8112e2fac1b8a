package safety

// pushButton finds the release of a button that was pressed while its action was possible. A button
// that sticks, or that is held before it could act, does nothing. Source: a manual reset acts by the
// release of its actuator, ISO 13849-1, 5.2.2 (from memory).
type pushButton struct{ was, armed bool }

func (b *pushButton) released(on, possible bool) bool {
	b.armed = possible && (b.armed || on && !b.was)
	released := b.armed && b.was && !on
	b.was = on
	if released {
		b.armed = false
	}
	return released
}

// held is a button of which nobody knows since when it is pressed, as after a loss of power.
func (b *pushButton) held() { *b = pushButton{was: true} }
