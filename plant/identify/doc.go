// Package identify finds values of a rig from recordings of its axis, with their errors, and says what
// the recordings do not determine.
//
// # Method
//
// A recording is divided into pieces by its signals (find.go): standstill, travel, acceleration, press against the
// closed brake, changes of the brake, stop by the brake. Each gives what it tells:
//
//	motion   load torque, friction, inertia, by the balance of torques in windows (motion.go)
//	press    stiffness and play of the brake, by its angle over the torque (press.go)
//	stop     t₁₁, t₁₂ and sliding torque of the brake, by a simulation of the stop (stop.go)
//	switch   t₁₁ + t₁₂ and t₂, by its times (list.go)
//	rest     noise and increments of the sensors (noise.go)
//
// Closed formulas give the first values (starts.go), and one weighted least-squares fit of the plant's own
// equations all of them together (model.go, fit.go), so that a value which several pieces tell
// carries the weight of each, and what one value leaves open enters the error of the others.
//
// # Errors
//
// The intervals are to cover. So the rows of the fit are made such that their errors are independent: windows
// do not overlap, the samples of a standing axis, which share one error of rounding, are one row, and a
// time between two samples counts once a recording. The noise of each part is that of its residuals. Values that
// disturb others (stiffness of the guide, moments of commands) are fitted as well, with what is known of
// them beforehand.
//
// # Limits
//
// As those of package plant: one mass, no backlash of the transmission, constant friction above a few Stribeck
// speeds. The load torque follows the rig's geometry, of which only the moving mass is found: incline, arm,
// counterbalance and feed constant are those of the rig. All torques are by the rig's torque constant, unless the
// moving mass was weighed or the torque of the motor measured.
package identify
