package recording

import (
	"math"

	"holdbench/plant/problem"
)

// observed is what an axis does by a signal of its brake.
type observed struct {
	openPath, closedPath       float64 // rad that it moves
	openRests, closedRests     int     // parts in which it rests
	openCarried, closedCarried int     // of these with a torque of the size of the load torque
}

func observe(parts []part, l Limits, signal func(p *part) state) (o observed) {
	for i := range parts {
		p := &parts[i]
		carried := 0
		if l.carries(p.torque) || l.carries(p.torque/1000) {
			carried = 1
		}
		switch s := signal(p); {
		case s == mixed:
		case !p.rests() && s == open:
			o.openPath += math.Abs(p.turned)
		case !p.rests():
			o.closedPath += math.Abs(p.turned)
		case s == open:
			o.openRests, o.openCarried = o.openRests+1, o.openCarried+carried
		default:
			o.closedRests, o.closedCarried = o.closedRests+1, o.closedCarried+carried
		}
	}
	return o
}

// carries is whether a torque of either sign has the size of that which holds the load, within a factor of 2.
func (l Limits) carries(torque float64) bool {
	low, high := min(math.Abs(l.HoldLowNM), math.Abs(l.HoldHighNM)), max(math.Abs(l.HoldLowNM), math.Abs(l.HoldHighNM))
	size := math.Abs(torque)
	return l.holds() && size > low/2 && size < 2*high
}

// holds is whether the load pulls in one direction everywhere.
func (l Limits) holds() bool { return l.HoldLowNM*l.HoldHighNM > 0 }

// movesClosed is whether the axis moves with a closed brake, and hardly with an open one.
func (o *observed) movesClosed() bool {
	return o.closedPath > radPerRev && o.closedPath > 9*o.openPath
}

// restsTurned is whether the drive carries the load where the brake is closed, more than where it is open.
func (o *observed) restsTurned() bool {
	return o.openRests >= fewest && o.closedRests >= fewest && o.carriedShare(closed) > o.carriedShare(open)+0.3
}

func (o *observed) carriedShare(s state) float64 {
	if s == open {
		return float64(o.openCarried) / float64(o.openRests)
	}
	return float64(o.closedCarried) / float64(o.closedRests)
}

// doubtBrake finds a command or a feedback of the brake that is inverted; false if so.
// A brake that slips moves closed too, but then the drive carries the load where it is open.
func (r *Recording) doubtBrake(list *problem.List, parts []part, l Limits) bool {
	feedback := observe(parts, l, func(p *part) state { return p.feedback })
	command := observe(parts, l, func(p *part) state { return p.command })
	wrongFeedback := r.Channel("brake_closed") != nil && feedback.movesClosed() && feedback.restsTurned()
	wrongCommand := r.Channel("brake") != nil && command.movesClosed() && command.restsTurned()
	share, contradict := r.contradiction()
	if contradict && !wrongFeedback && !wrongCommand {
		wrongFeedback = feedback.movesClosed() || feedback.restsTurned() && !command.movesClosed()
		wrongCommand = !wrongFeedback && (command.movesClosed() || command.restsTurned())
	}
	because := "the axis moves and carries its load where it is closed, and hardly where it is open"
	if contradict {
		because = "brake and brake_closed contradict each other in " + short(100*share) + " % of the samples"
	}
	switch {
	case wrongFeedback || wrongCommand:
		if wrongFeedback {
			r.addInverted(list, "brake_closed", because)
		}
		if wrongCommand {
			r.addInverted(list, "brake", because)
		}
	case contradict:
		list.Add("brake", "%s; one of them is inverted, as with --columns %s or --columns %s", because, r.Channel("brake").turnedRound(), r.Channel("brake_closed").turnedRound())
	}
	return !contradict && !wrongFeedback && !wrongCommand
}

func (r *Recording) addInverted(list *problem.List, signal, because string) {
	c := r.Channel(signal)
	list.Add(signal, "%s; the column %q is likely inverted, as with --columns %s", because, c.Column, c.turnedRound())
}

// contradiction is in which share of the samples command and feedback of the brake differ, and whether they do so
// nearly always, in both positions. A feedback that is stuck agrees in one of them.
func (r *Recording) contradiction() (share float64, always bool) {
	var all, differ [2]float64
	for x, feedback := range r.pairs("brake", "brake_closed") {
		if x != 0 && x != 1 {
			continue
		}
		all[int(x)]++
		if x != feedback {
			differ[int(x)]++
		}
	}
	const samples, nearly = 10, 0.9
	share = (differ[0] + differ[1]) / (all[0] + all[1])
	return share, min(all[0], all[1]) >= samples && differ[0] > nearly*all[0] && differ[1] > nearly*all[1]
}

// doubtSwapped finds a feedback of the brake that changes ahead of its command, closing and opening: false if so. A brake that
// closes by itself, as without power, does it in one direction, and one whose contact is stuck in none.
func (r *Recording) doubtSwapped(list *problem.List) bool {
	command, feedback := r.Channel("brake"), r.Channel("brake_closed")
	if command == nil || feedback == nil {
		return true
	}
	const (
		least = 0.005 // s
		most  = 2     // s, between the edges of one closing or opening
	)
	ahead, behind, lead := [2]int{}, 0, 0.0
	same := max(least, 1.5*r.UsualStep())
	of := r.edges("brake_closed")
	for _, c := range r.edges("brake") {
		nearest := math.Inf(1)
		for _, f := range of {
			if f.closed == c.closed && math.Abs(c.t-f.t) < math.Abs(nearest) {
				nearest = c.t - f.t
			}
		}
		switch {
		case nearest > same && nearest < most:
			ahead[int(c.closed)]++
			lead = max(lead, nearest)
		case nearest < -same && nearest > -most:
			behind++
		}
	}
	if ahead[0] == 0 || ahead[1] == 0 || behind > 0 {
		return true
	}
	list.Add("brake", "the feedback brake_closed changes up to %s s ahead of the command brake, closing and opening, and it can only follow; the columns %q and %q are likely swapped, as with --columns %s", short(lead), command.Column, feedback.Column, quotedFlag("brake="+feedback.signed()+",brake_closed="+command.signed()))
	return false
}

// edge is a change of a signal of the brake to open, 0, or to closed, 1.
type edge struct{ t, closed float64 }

// edges are those of a signal of the brake.
func (r *Recording) edges(signal string) []edge {
	var list []edge
	last := math.NaN()
	for i, x := range r.Values(signal) {
		if x != 0 && x != 1 {
			continue
		}
		if !math.IsNaN(last) && x != last {
			list = append(list, edge{r.Time[i], x})
		}
		last = x
	}
	return list
}
