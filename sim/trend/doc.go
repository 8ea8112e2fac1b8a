// Package trend follows the figures of many tests of one axis over months.
//
//	h, err := trend.NewHistory(tests, trend.Period{})
//	r := trend.Analyse(h.Series(limits), h.Axis, trend.Options{})
//	r.Trends[i].Advice // no-trend, trend, watch, service or limit-reached
//
// For each quantity it finds changes of level, draws a robust line through what came after the last one,
// tests whether that rises or falls, and projects it to a limit. It is for slow changes, of which one wants
// to know when a service is due, and looks at the whole series at once; the warning of package life is a
// control chart, which holds each new value against the first ones, for changes that must be noticed at the
// next test.
//
// The level of a false alarm holds for one look at a series. Who looks after each test, and acts on the first
// trend that he sees, has more of them: of simulated histories without a decline, looked at each month for a
// year, one in five to eight shows one at some time (a test counts them).
//
// A trend is a reason to look at the brake, not a proof of anything: linings also fail at once, and some
// quantities do not show a lining at all until it slips, as the wind-up of a brake.
package trend
