package evaluate

import "math"

// dropWatch measures how far the load is below the place where its last travel ended, by the measured
// position. It looks while no travel is commanded; without the command of the drive, while the brake is
// closed. What the load drops in several such stretches adds up.
//
// Below is where the load pulls: a load that is lighter than its counterbalance drops upwards.
type dropWatch struct {
	reference   float64 // mm, of the present stretch
	watching    bool
	travelled   bool    // there was a travel, in which a drop is seen only outside of its ends
	accumulated float64 // mm, of the stretches before
	down        float64 // mm, of the present stretch
	largest     float64 // mm
	atS         float64 // of the first moment below the limit; NaN: never
	seen        bool
	watched     bool    // there was a moment at which a drop would have been seen
	movedS      float64 // s, end of the newest travel
}

func (d *dropWatch) step(w *watched, before, now *moment) {
	if !d.seen {
		d.atS = math.NaN()
	}
	d.seen = true
	still := is(now.closed)
	if w.has.drive {
		if is(now.moves) {
			d.movedS = now.t
		}
		still = !is(now.moves) && !d.decelerating(w, now)
	}
	pull := 1.0
	if w.in.loadNM(now.mm) < 0 {
		pull = -1
	}
	switch {
	case still && !d.watching:
		d.reference = now.mm
	case still:
		d.down = float64(pull * (d.reference - now.mm))
		d.take(w, now.t, d.accumulated+d.down)
	case d.watching:
		d.accumulated += max(0, d.down)
		d.down, d.reference = 0, before.mm
		d.travelled = d.travelled || is(now.moves)
	case is(now.moves) && !is(before.moves): // again, before the axis was at rest
		d.reference = before.mm
	case is(now.moves) && w.has.target && !math.IsNaN(now.targetMM):
		end := min(pull*d.reference, pull*now.targetMM)
		d.take(w, now.t, d.accumulated+end-float64(pull*now.mm))
	}
	d.watching, d.watched = still, d.watched || still
}

// decelerating is whether the axis may still come to rest from a travel that was aborted.
func (d *dropWatch) decelerating(w *watched, now *moment) bool {
	const reserve = 1.5
	drive := &w.in.rig.Drive
	return d.travelled && math.Abs(now.speed) > w.standstillMMS() && now.t-d.movedS < reserve*drive.SpeedMMS/drive.AccelerationMMS2
}

func (d *dropWatch) take(w *watched, t, down float64) {
	d.largest = max(d.largest, down)
	if down > w.in.rig.Test.DropLimitMM && math.IsNaN(d.atS) {
		d.atS = t
	}
}
