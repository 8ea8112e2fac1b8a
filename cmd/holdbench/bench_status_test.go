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
		s := at.starts("lining-worn-thin")
		s.sees("✓ operation allowed")
		s.does(keyEnd, "■ ended", "◼ operation inhibited")
		s.reads("⚠ brake test failed - the drive carries the load - axis locked out, do not switch the drive off")
		s.sees("✗ fail (moved) · failed")
		s.does("S", " ◀ of ")
		for _, state := range []string{"hold_on_torque", "secure_axis", "move_to_support", "recover_open", "recover_hold", "recover_transfer"} {
			s.does("S", "◉ "+state)
		}
		s.sees("judge ✗ failed: moved") // as a banner
		s.sees("◼ operation inhibited")
		s.does("]]]]", "◉ move_to_support") // seconds later
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
			s := at.ends(scenario)
			s.sees(banner)
			s.sees("◼ operation inhibited")
			s.does("h", "truth hidden") // the plant alone knows it
			s.seesNoMore(banner)
			s.quits()
		}
	})
}

// With the truth hidden nothing on the screen tells that there is a fault, or which; what is truth is marked.
func TestBenchHidesTheTruth(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.ends("encoder-frozen")
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
		s.does("S", " ◀ of ")
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
		s := at.starts()
		s.does("s", "◉ permissives")
		s.inject("brake-drags")
		s.sees("▲ brake.opens_to = 0.15")
		s.does(".", "0.502 s")
		s.inject("brake-drags", keyDown) // in the next severity
		s.sees("▲ brake.opens_to = 0.5")
		s.does("f", "─ Faults ─", "without effect")
		s.closes("─ Faults ─")
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
