//go:build unix

package main

import (
	"regexp"
	"strings"
	"testing"
)

// Whether operation is allowed, the alarm and a new verdict are to be read at every size; the verdict stays in the
// header.
func TestBenchTellsOperationAlarmAndVerdict(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.sit(nil, "--scenario", "lining-worn-thin")
		s.sees("lining-worn-thin")
		s.sees("✓ operation allowed")
		s.types(keyEnd)
		s.sees("■ ended")
		s.sees("◼ operation inhibited")
		s.reads("⚠ brake test failed - the drive carries the load - axis locked out, do not switch the drive off")
		s.sees("✗ fail (moved) · failed")
		s.types("S")
		s.sees(" ◀ of ")
		for _, state := range []string{"hold_on_torque", "secure_axis", "move_to_support", "recover_open", "recover_hold", "recover_transfer"} {
			s.types("S")
			s.sees("◉ " + state)
		}
		s.sees("judge ✗ failed: moved") // as a banner
		s.sees("◼ operation inhibited")
		s.types("]]]]") // seconds later
		s.sees("◉ move_to_support")
		s.waits("the banner has gone, and the verdict is in the header", func(screen string) bool {
			return !strings.Contains(screen, "judge ✗ failed") && strings.Contains(rows(screen)[1], "judge ✗ moved")
		})
		s.quits()
	})
}

// A load that drops and another obligation that is broken are banners.
func TestBenchBanners(t *testing.T) {
	atEachSize(t, func(at desk) {
		for scenario, banner := range map[string]string{
			"encoder-frozen":     "✗ LOAD DROP 423 mm, limit 5 mm",
			"press-up-with-load": "✗ broken: below-ceiling",
		} {
			s := at.sit(nil, "--scenario", scenario)
			s.sees(scenario)
			s.types(keyEnd)
			s.sees("■ ended")
			s.sees(banner)
			s.sees("◼ operation inhibited")
			s.types("h") // the plant alone knows it
			s.sees("truth hidden")
			s.seesNoMore(banner)
			s.quits()
		}
	})
}

// With the truth hidden nothing on the screen tells that there is a fault, or which; what is truth is marked.
func TestBenchHidesTheTruth(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.sit(nil, "--scenario", "encoder-frozen")
		s.sees("encoder-frozen")
		s.types(keyEnd)
		s.sees("■ ended")
		s.sees("▲")
		s.waits("the curves that are truth are marked as such", func(screen string) bool {
			return regexp.MustCompile(`m mot(or)?• b br(ake|k)• c cap(acity)?• p pos(ition)? l load• `).MatchString(screen)
		})
		s.types("h")
		s.isHidden()
		for range 4 { // events, faults, obligations, and over time again
			s.types(keyTab)
			s.isHidden()
		}
		s.types("S")
		s.sees(" ◀ of ")
		s.isHidden()
		for _, key := range []string{"f", "i", "k", "n"} { // what would tell it is not opened
			s.types(key)
			s.reads("not available while the truth is hidden, as it would reveal the fault; h shows the truth")
			s.isHidden()
			s.types("g") // takes the notice away
			s.seesNoMore("not available")
		}
		s.quits()
	})
}

// The header counts the faults that act: one that a later one overrides does not.
func TestBenchCountsFaultsThatAct(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.sit(nil)
		s.sees("healthy-down-and-up")
		s.types("s")
		s.sees("◉ permissives")
		s.inject("brake-drags")
		s.sees("▲ brake.opens_to = 0.15")
		s.types(".")
		s.sees("0.502 s")
		s.inject("brake-drags", keyDown) // in the next severity
		s.sees("▲ brake.opens_to = 0.5")
		s.types("f")
		s.sees("─ Faults ─")
		s.sees("overridden by a later one")
		s.types(keyEsc)
		s.seesNoMore("─ Faults ─")
		s.waits("one fault acts", func(screen string) bool {
			return strings.Contains(rows(screen)[1], "▲ 1 fault") && !strings.Contains(screen, "2 faults")
		})
		s.quits()
	})
}

// isHidden waits until nothing of the truth is to be seen, or of the fault.
func (s *seat) isHidden() {
	s.t.Helper()
	betrays := []string{"•", "▲", "LOAD DROP", "broken", "encoder-frozen", "freezes", "worn", "1 fault", "2 faults", "caught", "missed", "encoder."}
	s.waits("nothing of the truth is to be seen", func(screen string) bool {
		for _, text := range betrays {
			if strings.Contains(screen, text) {
				return false
			}
		}
		return strings.Contains(screen, "truth hidden")
	})
}
