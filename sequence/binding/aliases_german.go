package binding

// The words here are what programmers in German-speaking countries write (common practice), with ae, oe,
// ue and ss, as names of IEC 61131-3 have no other letters.

// germanWords are words for a word of a name.
func germanWords() map[string][]string {
	return map[string][]string{
		"acknowledge": {"quittieren", "quittierung", "quitt"}, "alarm": {"meldung", "meldetext"}, "arm": {"hebel"},
		"ask": {"anforderung", "anfordern"}, "brake": {"bremse", "bremsen"}, "cancel": {"abbruch", "abbrechen"},
		"cause": {"ursache", "grund"}, "closed": {"zu", "geschlossen", "schliessen"}, "count": {"anzahl", "zaehler"},
		"coupled": {"gekuppelt", "gekoppelt"}, "current": {"strom"}, "cycle": {"zyklus"}, "decouple": {"entkuppeln", "entkoppeln"},
		"down": {"ab", "abwaerts", "unten"}, "drive": {"antrieb", "achse", "regler", "umrichter"}, "due": {"faellig"},
		"failed": {"fehler", "nio"}, "fault": {"stoerung", "fehler"}, "guard": {"schutztuer", "tuer", "haube"},
		"hold": {"halten"}, "inhibited": {"gesperrt", "sperre", "sperren"}, "limit": {"grenze"}, "load": {"last"},
		"mode": {"betriebsart", "modus"}, "move": {"fahren", "verfahren"}, "on": {"ein", "an", "eingeschaltet"},
		"open": {"auf", "offen", "oeffnen", "lueften"}, "operation": {"betrieb"}, "allowed": {"freigabe", "freigegeben"},
		"position": {"lage"}, "press": {"pressen", "druecken"}, "proof": {"nachweis", "gueltig"}, "rate": {"rampe"},
		"ready": {"bereit"}, "required": {"gefordert", "erforderlich", "mindest"}, "reset": {"ruecksetzen", "rueckstellen"},
		"setup": {"einrichten", "einrichtbetrieb"}, "slip": {"schlupf"}, "speed": {"geschwindigkeit", "geschw"},
		"standstill": {"stillstand", "steht"}, "stop": {"stopp"}, "target": {"soll", "sollwert", "ziel"},
		"test": {"pruef", "pruefung", "bremstest", "bremsentest"}, "time": {"zeit", "dauer"}, "tolerance": {"toleranz"},
		"torque": {"drehmoment"}, "travel": {"fahren", "fahrt"}, "trigger": {"starten"}, "up": {"auf", "aufwaerts", "oben"},
		"verdict": {"ergebnis", "urteil"},
	}
}

// germanAliases are whole names for a signal, a state, a cause or a parameter.
func germanAliases() map[string][]string {
	return map[string][]string{
		"trigger":            {"start_pruefung", "pruefung_start", "start_bremstest", "bremstest_start", "bremstest"},
		"estop":              {"nothalt", "notaus"},
		"judge_busy":         {"pruefung_laeuft", "test_laeuft", "laeuft"},
		"judge_failed":       {"pruefung_fehler", "pruef_fehler", "test_fehler", "pruefung_nio", "nio"},
		"proof":              {"pruef_ok", "pruefung_ok", "pruefung_io", "bremse_ok", "pruefung_bestanden", "bestanden", "nachweis_gueltig"},
		"brake_closed":       {"bremse_rueckmeldung"},
		"in_position":        {"position_erreicht", "ziel_erreicht"},
		"safe_stop":          {"sicherer_halt", "sicherer_stopp", "stopp_anforderung"},
		"test_count":         {"pruefzaehler"},
		"proof_left_s":       {"restzeit"},
		"access":             {"zutritt", "zutritt_anforderung"},
		"drive":              {"antrieb_modus", "antrieb_befehl"},
		"press_torque_nm":    {"moment_soll", "soll_moment", "drehmoment_soll", "soll_drehmoment", "pressmoment"},
		"press_rate_nm_s":    {"rampe", "momentrampe"},
		"torque_limit_nm":    {"momentgrenze", "momentengrenze", "moment_grenze", "moment_max"},
		"required_current_a": {"strom_soll", "soll_strom", "mindeststrom"},
		"move_speed_mm_s":    {"fahrgeschwindigkeit", "soll_geschwindigkeit", "geschwindigkeit_soll"},
		"brake":              {"bremse", "bremse_auf", "bremse_oeffnen", "bremse_lueften", "bremse_zu", "bremse_schliessen", "bremse_freigabe", "bremsventil"},
		"operation":          {"freigabe", "betrieb_freigabe", "betriebsfreigabe", "sperre"},
		"ask":                {"anforderung", "pruefanforderung", "pruef_anforderung", "anforderung_pruefung", "anforderung_ab", "anforderung_auf"},

		"ready":           {"grundstellung", "bereit", "warten", "warten_auf_start"},
		"permissives":     {"vorbedingungen", "bedingungen", "freigaben"},
		"travel":          {"fahren", "anfahren", "positionieren", "pruefposition_anfahren", "fahren_pruefposition"},
		"settle":          {"beruhigen", "stillstand", "ruhe", "stillstand_abwarten"},
		"close_brake":     {"bremse_schliessen", "bremse_zu", "schliessen", "einfallen"},
		"press_down":      {"druecken", "pressen", "momentaufbau", "moment_aufbauen", "drehmoment_aufbauen"},
		"verdict_down":    {"pruefen", "pruefung", "ergebnis", "ergebnis_abwarten", "auswerten", "urteil"},
		"transfer_load":   {"entlasten", "lastuebernahme", "last_uebernehmen"},
		"hold_position":   {"halten", "position_halten"},
		"open_brake":      {"bremse_oeffnen", "bremse_auf", "bremse_lueften", "oeffnen", "lueften"},
		"passed":          {"bestanden", "fertig", "ende", "pruefung_bestanden"},
		"locked_out":      {"fehler", "stoerung", "gesperrt", "nicht_bestanden"},
		"move_to_support": {"absenken", "parken"},
		"power_up":        {"einschalten", "hochlauf"},
		"stopped":         {"gestoppt", "stopp"},
		"cancel_stop":     {"abbruch", "abbrechen"},

		"load_torque_nm":               {"lastmoment", "haltemoment"},
		"slip_alarm_mm":                {"schlupf", "schlupf_max", "max_schlupf"},
		"test_position_mm":             {"pruefposition", "prueflage"},
		"torque_constant_nm_per_rms_a": {"momentkonstante", "drehmomentkonstante"},
		"brake_time_s":                 {"bremszeit", "schliesszeit", "bremse_zeit"},
		"travel_time_s":                {"fahrzeit"},
		"answer_time_s":                {"antwortzeit"},

		"slipped":              {"gerutscht", "durchgerutscht", "bremse_rutscht"},
		"brake-not-closed":     {"bremse_nicht_zu", "nicht_geschlossen"},
		"brake-not-open":       {"bremse_nicht_auf", "nicht_offen"},
		"torque-not-reached":   {"kein_moment", "moment_nicht_erreicht"},
		"not-at-test-position": {"position_nicht_erreicht"},
		"no-answer":            {"keine_antwort"},
	}
}
