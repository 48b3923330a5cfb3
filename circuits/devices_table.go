package circuits

// Positions that several types share.
var (
	asOnTheShelf = []string{"normal", "operated"}
	ofACoil      = []string{"released", "operated"}
)

// Keys and terminals that several types share.
var (
	contactKeys   = []string{"contacts"}
	workedKeys    = []string{"contacts", "action", "minutes", "at-will"} // of what a step sets
	relayKeys     = []string{"coil", "contacts", "volts", "ohms", "va", "pull-in", "drop-out"}
	lockedKeys    = append([]string{"interlock"}, relayKeys...)
	twoCoilKeys   = append([]string{"reset-coil"}, relayKeys...)
	currentKeys   = []string{"coil", "contacts", "amps", "ohms", "drop-out"}
	timerKeys     = append([]string{"delay", "seconds"}, relayKeys...)
	timeKeys      = append([]string{"seconds"}, relayKeys...)
	repeatKeys    = append([]string{"off-seconds"}, timeKeys...)
	pulseKeys     = append([]string{"trigger"}, timeKeys...)
	triggerKeys   = append([]string{"trigger"}, timerKeys...)
	loadKeys      = []string{"terminals", "volts", "ohms", "va"}
	kindKeys      = append([]string{"kind"}, loadKeys...) // where a type has loads of several kinds
	sensorKeys    = append([]string{"terminals", "volts", "va", "pull-in", "drop-out"}, workedKeys...)
	guardKeys     = []string{"supply", "channel-1", "channel-2", "reset", "contacts", "volts", "va", "pull-in", "drop-out"}
	driveKeys     = []string{"supply", "start", "trip", "reset", "contacts", "volts", "va", "pull-in", "drop-out"}
	zoneKeys      = []string{"supply", "line", "contacts", "volts"}
	solidKeys     = []string{"coil", "contacts", "volts", "va", "leakage", "pull-in", "drop-out"}
	leakyKeys     = append([]string{"leakage"}, workedKeys...)
	pointKeys     = []string{"terminals", "volts", "va"}
	twoEndKeys    = []string{"terminals"}
	resistorKeys  = []string{"terminals", "ohms"}
	capacitorKeys = []string{"terminals", "microfarads"}
	linkKeys      = []string{"terminals", "amps"}
	poleKeys      = append([]string{"poles"}, linkKeys...)
	phaseKeys     = []string{"volts", "connection", "hertz", "phase", "amps", "terminals"}
	watchKeys     = []string{"contacts", "volts", "va", "pull-in", "drop-out", "terminals"}
	threeLeads    = []string{"T1", "T2", "T3"}
	supplyKeys    = []string{"volts", "current", "hertz", "phase", "amps", "terminals"}
	windingKeys   = []string{"volts", "secondaries", "primary-volts", "amps", "hertz", "phase", "ohms", "terminals", "primary"}
	rectifierKeys = []string{"volts", "primary-volts", "amps", "terminals", "primary"}
	voltsNeeded   = []string{"volts"}
	coilEnds      = []string{"A1", "A2"}
	twoEnds       = []string{"1", "2"}
	sensorEnds    = []string{"1", "3"}
	runAndStart   = []Coil{{Name: "run", Symbols: Symbols{"motor", "motor", "< >"}},
		{Name: "start", Symbols: Symbols{"start-winding", "start-winding", "<S: >"}}}
	twoChannels = []Coil{
		{Key: "supply", Name: "supply", Terminals: coilEnds, Symbols: Symbols{"supply-input", "supply-input", "(+: )"}},
		{Key: "channel-1", Name: "channel-1", Terminals: []string{"S12", "A2"}, Symbols: Symbols{"channel-1", "channel-1", "(1: )"}},
		{Key: "channel-2", Name: "channel-2", Terminals: []string{"S22", "A2"}, Symbols: Symbols{"channel-2", "channel-2", "(2: )"}},
		{Key: "reset", Name: "reset", Terminals: []string{"S34", "A2"}, Symbols: Symbols{"reset-input", "reset-input", "(R: )"}, Unwired: true},
	}
	ofADriveIn = []Coil{
		{Key: "supply", Name: "supply", Terminals: []string{"L1", "L2"}, Symbols: Symbols{"supply-input", "supply-input", "(+: )"}, Unwired: true,
			VA: 30}, // with the motor at rest; common practice, no source
		{Key: "start", Name: "start", Terminals: []string{"DI1", "COM"}, Symbols: Symbols{"start-input", "start-input", "(S: )"}},
		{Key: "trip", Name: "trip", Terminals: []string{"DI2", "COM"}, Symbols: Symbols{"trip-input", "trip-input", "(T: )"}, Unwired: true},
		{Key: "reset", Name: "reset", Terminals: []string{"DI3", "COM"}, Symbols: Symbols{"reset-input", "reset-input", "(R: )"}},
	}
	ofAZone = []Coil{
		{Key: "supply", Name: "supply", Terminals: coilEnds, Symbols: Symbols{"supply-input", "supply-input", "(+: )"}},
		{Key: "line", Name: "line", Terminals: []string{"L+", "A1"}, Symbols: Symbols{"line-input", "line-input", "(Z: )"},
			VA: 0.384}, // 1500 ohm at 24 V dc, in series with the line; common practice, no source
	}
	setAndReset = []Coil{
		{Key: "coil", Name: "set", Terminals: coilEnds, Symbols: Symbols{"set-coil", "set-coil", "(S: )"}},
		{Key: "reset-coil", Name: "reset", Terminals: []string{"B1", "B2"}, Symbols: Symbols{"reset-coil", "reset-coil", "(R: )"}},
	}
	fedAndTriggered = []Coil{{Key: "coil", Name: "supply", Terminals: coilEnds, Symbols: Symbols{"timer", "timer", "( )"}},
		{Key: "trigger", Name: "trigger", Terminals: []string{"B1", "A2"}, Symbols: Symbols{"trigger-input", "trigger-input", "(T: )"}}}
	needsSeconds = []string{"seconds"}
	// A sensor of three wires, as it is sold: its output switches the positive lead (pnp).
	sensorForm   = []Contact{{A: "1", B: "4", Closed: []bool{false, true}, Form: NormallyOpen}}
	detectorForm = []Contact{{A: "1", B: "3", Closed: []bool{false, true}, Form: NormallyOpen}}
	ofASensor    = Symbols{"sensor-supply", "sensor-supply", "<+: >"}
	overloadForm = []Contact{
		{A: "95", B: "96", Closed: []bool{true, false}, Form: NormallyClosed},
		{A: "97", B: "98", Closed: []bool{false, true}, Form: NormallyOpen},
	}
)

// Types is the table of device types, in the order of the format. A type is added here and
// nowhere else; its shapes are named in package drawing, its weights in package faultmodel,
// and tests say what is missing.
//
// Terminal numbers are those of IEC 60947 (coils A1 A2, contacts by function number,
// overload 95 to 98; sensors of three wires 1 3, outputs 4 and 2: IEC 60947-5-2) and of NEMA
// control transformers (H1 H2, X1 X2); of motors with two windings those of IEC 60034-8, the higher
// number at the higher speed, and of NEMA MG 1: all from memory.
var Types = []*Type{
	// What feeds the circuit and protects it.
	{Name: "supply", Kind: SourceKind, Place: "panel", Terminals: []string{"L", "N"}, Keys: supplyKeys, Needs: voltsNeeded,
		SwitchOn: "Switch on", Symbols: Symbols{"supply", "supply", "{ }"},
		Letters: letters(by(iec, "G", "GB"), by(nema, "PWS", "BAT"), by(ieee, "BT/2"), by(jic, "PS/2")),
		Also:    []string{"source", "power-supply", "mains", "battery", "line"}},
	{Name: "three-phase-supply", Word: "three-phase supply", Kind: SourceKind, Place: "panel", Terminals: []string{"L1", "L2", "L3", "N"}, Phases: true,
		Keys: phaseKeys, Needs: voltsNeeded, SwitchOn: "Switch on", Symbols: Symbols{"supply", "supply", "{ }"},
		Letters: letters(by(iec, "G/2"), by(NoSource, "MAINS")), Also: []string{"three-phase", "line-supply"}},
	{Name: "control-transformer", Kind: SourceKind, Place: "panel", Terminals: []string{"X1", "X2"}, Primary: []string{"H1", "H2"},
		Keys: windingKeys, Needs: voltsNeeded, SwitchOn: "Switch on", Symbols: Symbols{"secondary", "secondary", "{ }"},
		Letters: letters(by(jic, "T"), by(iec, "TA"), by(NoSource, "TC", "CPT", "XF", "XFMR")), Also: []string{"transformer", "cpt"}},
	{Name: "bridge-rectifier", Kind: SourceKind, DC: true, Place: "panel", Terminals: []string{"+", "-"}, Primary: []string{"AC1", "AC2"},
		Keys: rectifierKeys, SwitchOn: "Switch on", Faults: ofABridge, Symbols: Symbols{"rectifier", "rectifier", "{ }"},
		Supply:  Symbols{"rectifier-input", "rectifier-input", "<~: >"},
		Letters: letters(by(jic, "REC/2"), by(iec, "TB/2"), by(NoSource, "BR", "RECT")),
		Also:    []string{"rectifier-bridge", "diode-bridge", "full-wave-rectifier", "rectifier-block"}},
	{Name: "ground", Kind: GroundKind, Place: "panel", Terminals: []string{"1"}, Symbols: Symbols{"ground", "ground", "|i."},
		Letters: letters(by("IEC 60445, protective earth", "PE"), by(nema, "GND"), by(jic, "GRD"), by(NoSource, "E")),
		Also:    []string{"earth", "pe", "bond"}},
	{Name: "fuse", Kind: LinkKind, Place: "panel", Terminals: twoEnds, Keys: linkKeys, SwitchOn: "Put in",
		Faults: Faults{Opens: Said{"link-open", "fuse {name} is blown"}}, Symbols: Symbols{"fuse", "fuse", "[=]"},
		Letters: letters(by(jic, "FU"), by(iec, "F/2", "FC/2"))},
	{Name: "breaker", Kind: LinkKind, Place: "panel", Terminals: twoEnds, Keys: poleKeys, Poles: true, SwitchOn: closes,
		Faults: ofABreaker, Symbols: Symbols{"breaker", "breaker", "[x]"},
		Letters: letters(by(jic, "CB"), by(iec, "Q", "FC"), by(NoSource, "QM")), Also: []string{"circuit-breaker", "mcb"}},

	// What a person, a machine or the process moves.
	{Name: "push-button", Kind: OperatorKind, Moved: ByHand, Place: "door", Positions: []string{"released", "pressed"},
		Keys: workedKeys, Needs: contactKeys, Hands: pressed, Momentary: true, Faults: ofButton, Symbols: Symbols{"push-button", "push-button", "o o"},
		Letters: letters(by(jic, "PB"), by(iec, "S", "SF"), by(NoSource, "SB", "ES"), by(jic+": foot switch", "FTS")),
		Also:    []string{"button", "emergency-stop", "e-stop"}},
	{Name: "selector-switch", Kind: OperatorKind, Moved: ByHand, Place: "door", Keys: append([]string{"positions", "rest"}, workedKeys...),
		Needs: []string{"positions", "contacts"}, Hands: turned, Faults: ofButton, Symbols: Symbols{"selector-switch", "selector-switch", "o o"},
		Letters: letters(by(jic, "SS", "RSS"), by(jic+": cam switch", "CS"), by(jic+": toggle switch", "TGS"), by(iec, "S/2", "SF/2"), by(NoSource, "SA")),
		Also:    []string{"selector", "switch", "key-switch", "toggle-switch"}},
	{Name: "limit-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: bySight, Faults: ofSwitch, Symbols: Symbols{"limit-switch", "limit-switch", "o o"},
		Letters: letters(by(jic, "LS"), by(iec, "BG", "S/3"), by("IEC 60750 has both a horn and a sensor as B; from memory", "B/3"), by(NoSource, "SQ")),
		Also:    []string{"door-switch", "position-switch"}},
	{Name: "float-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: filled, Faults: ofSwitch, Symbols: Symbols{"float-switch", "float-switch", "o o"},
		Letters: letters(by(jic, "FS"), by(iec, "BL")), Also: []string{"level-switch"}},
	{Name: "pressure-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: pumped, Faults: ofSwitch, Symbols: Symbols{"pressure-switch", "pressure-switch", "o o"},
		Letters: letters(by(jic, "PS"), by(iec, "BP"), by(jic+": vacuum switch", "VS"))},
	{Name: "temperature-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: heated, Faults: ofSwitch, Symbols: Symbols{"temperature-switch", "temperature-switch", "o o"},
		Letters: letters(by(jic, "TAS"), by(nema, "THS"), by(iec, "BT"), by(NoSource, "TS")), Also: []string{"thermostat", "thermal-switch"}},
	{Name: "flow-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: flowing, Faults: ofSwitch, Symbols: Symbols{"flow-switch", "flow-switch", "o o"},
		Letters: letters(by(jic, "FLS", "FS/2"), by(iec, "BF"))},
	{Name: "proximity-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: leakyKeys, Needs: contactKeys,
		Hands: put, Makes: bySight, Electronic: true, TwoWire: true, Faults: ofSwitch, Symbols: Symbols{"proximity-switch", "proximity-switch", "o o"},
		Letters: letters(by(jic, "PRS"), by(iec, "BG/2"), by("IEC 60750 has both a horn and a sensor as B; from memory", "B/2"), by(NoSource, "PRX")),
		Also:    []string{"two-wire-sensor"}},
	{Name: "proximity-sensor", Kind: OperatorKind, Moved: ByMachine, Place: "field", Terminals: sensorEnds, Positions: asOnTheShelf,
		Contacts: sensorForm, Keys: sensorKeys, Hands: put, Makes: bySight, Electronic: true, Loads: sensorSupply, Looks: []Look{powered},
		Faults: ofSensor, Symbols: Symbols{"proximity-switch", "proximity-switch", "o o"}, Supply: ofASensor,
		Letters: letters(by(jic, "PRS/2"), by(iec, "BG/3"), by(NoSource, "PXS")),
		Also:    []string{"sensor", "three-wire-sensor", "inductive-sensor"}},
	{Name: "photo-sensor", Word: "photoelectric sensor", Kind: OperatorKind, Moved: ByMachine, Place: "field", Terminals: sensorEnds, Positions: asOnTheShelf,
		Contacts: sensorForm, Keys: sensorKeys, Hands: put, Makes: bySight, Electronic: true, Loads: sensorSupply, Looks: []Look{powered},
		Faults: ofSensor, Symbols: Symbols{"photo-switch", "photo-switch", "o o"}, Supply: ofASensor,
		Letters: letters(by(iec, "BG/4"), by(NoSource, "PEC", "PHS")),
		Also:    []string{"photo-eye", "photocell", "light-barrier", "photoelectric-sensor"}},
	{Name: "smoke-detector", Kind: OperatorKind, Moved: ByMachine, Place: "field", Terminals: twoEnds, Positions: []string{"clear", "smoke"},
		Contacts: detectorForm, Keys: sensorKeys, Hands: smoked, Makes: smoking, Electronic: true, LifeSafety: true, Loads: detectorSupply,
		Looks: []Look{watching}, Faults: ofADetector, Symbols: Symbols{"smoke-switch", "smoke-switch", "o o"}, Supply: ofASensor,
		Letters: letters(by(nema, "SD"), by(NoSource, "DET", "SMK")),
		Also:    []string{"smoke-alarm", "fire-detector", "optical-smoke-detector"}},
	{Name: "snap-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: bySight, Faults: ofSwitch, Symbols: Symbols{"snap-switch", "snap-switch", "o o"},
		Letters: letters(by(NoSource, "SN", "MSW")), Also: []string{"micro-switch", "basic-switch", "interlock-switch"}},
	{Name: "speed-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: spun, Faults: ofSwitch, Symbols: Symbols{"speed-switch", "speed-switch", "o o"},
		Letters: letters(by(nema+": plugging switch", "PLS"), by(iec, "BS"), by(NoSource, "SPS", "ZSS")),
		Also:    []string{"plugging-switch", "zero-speed-switch", "centrifugal-switch", "motion-switch"}},
	{Name: "vibration-switch", Kind: OperatorKind, Moved: ByMachine, Place: "field", Positions: asOnTheShelf, Keys: workedKeys, Needs: contactKeys,
		Hands: put, Makes: knocked, Faults: ofSwitch, Symbols: Symbols{"vibration-switch", "vibration-switch", "o o"},
		Letters: letters(by(NoSource, "VIB", "VBS")), Also: []string{"shock-switch"}},
	{Name: "overload-relay", Kind: OperatorKind, Moved: ByCurrent, Place: "panel", Positions: []string{"reset", "tripped"},
		Contacts: overloadForm, Keys: append([]string{"poles"}, workedKeys...), Poles: true, Hands: tripped, Faults: ofRelief,
		InPole: Symbols{"overload-heater", "overload-heater", "[~]"}, Symbols: Symbols{"overload-relay", "overload-relay", "] ["},
		Letters: letters(by(nema, "OL"), by(iec, "F/3"), by(NoSource, "FR")), Also: []string{"overload", "thermal-overload"}},

	{Name: "controller-output", Kind: OperatorKind, Moved: ByProgram, Place: "panel", Positions: []string{"off", "on"}, Keys: leakyKeys,
		Needs: contactKeys, Hands: programmed, Electronic: true, Faults: ofAnOutput,
		Symbols: Symbols{"controller-output", "controller-output", "o o"},
		Letters: letters(by(NoSource, "DO", "OUT")), Also: []string{"plc-output", "output-point", "output-card"}},

	// What a coil moves.
	{Name: "relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: relayKeys,
		Loads: smallCoil, Looks: []Look{pulledIn}, Faults: ofARelay, Symbols: Symbols{"relay", "relay", "( )"},
		Letters: letters(by(jic, "CR"), by(iec, "K", "KF"), by(NoSource, "R/2", "KA")), Also: []string{"control-relay", "coil"}},
	{Name: "contactor", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: lockedKeys,
		Moves: true, Mains: true, Loads: powerCoil, Looks: []Look{pulledIn}, Faults: ofARelay, Symbols: Symbols{"contactor", "contactor", "( )"},
		Letters: letters(by(jic, "M", "CON"), by(jic+": forward", "F"), by(jic+": reverse", "R"), by(nema, "MS"),
			by(iec, "K/2", "Q/2", "QA"), by(NoSource, "KM")), Also: []string{"starter", "motor-starter"}},
	{Name: "timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: timerKeys,
		Needs: []string{"seconds"}, Delays: true, Loads: smallCoil, Looks: []Look{pulledIn}, Faults: ofATimer, Symbols: Symbols{"timer", "timer", "( )"},
		Letters: letters(by(jic, "TR", "T/2"), by(iec, "K/3"), by(NoSource, "KT", "TD")),
		Also:    []string{"time-delay-relay", "timing-relay", "on-delay-timer", "on-delay-relay"}},
	{Name: "off-delay-timer", Word: "off-delay timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: timeKeys,
		Needs: needsSeconds, Delays: true, Times: OffDelay, Loads: timerInput, Looks: []Look{output}, Faults: ofATimer,
		Symbols: Symbols{"off-delay-timer", "off-delay-timer", "( )"}, Letters: letters(by(NoSource, "TDO", "TOF")),
		Also: []string{"true-off-delay-timer", "true-off-delay-relay", "off-delay-relay", "off-delay"}},
	{Name: "interval-timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: timeKeys,
		Needs: needsSeconds, Delays: true, Times: Interval, Loads: timerInput, Looks: []Look{output}, Faults: ofAPulse,
		Symbols: Symbols{"interval-timer", "interval-timer", "( )"}, Letters: letters(by(NoSource, "TI", "ITR")),
		Also: []string{"interval-relay", "interval-on-timer", "on-pulse-timer"}},
	{Name: "flasher", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: timeKeys,
		Needs: needsSeconds, Delays: true, Times: Repeats, Loads: timerInput, Looks: []Look{output}, Faults: ofAFlasher,
		Symbols: Symbols{"flasher", "flasher", "( )"}, Letters: letters(by(NoSource, "FLR", "FLS/2", "KFL")),
		Also: []string{"flasher-relay", "flashing-relay", "blinker", "flash-relay"}},
	{Name: "repeat-cycle-timer", Word: "repeat-cycle timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: repeatKeys,
		Needs: needsSeconds, Delays: true, Times: Repeats, Loads: timerInput, Looks: []Look{output}, Faults: ofAFlasher,
		Symbols: Symbols{"flasher", "flasher", "( )"}, Letters: letters(by(NoSource, "RCT", "RC")),
		Also: []string{"repeat-cycle", "repeat-cycle-relay", "cycle-timer", "cycling-timer", "recycling-timer", "duty-cycle-timer"}},
	{Name: "one-shot", Word: "one-shot timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: pulseKeys,
		Needs: needsSeconds, Delays: true, Times: Pulses, Armature: Triggered, Coils: fedAndTriggered, Loads: timerInput,
		Looks: []Look{output}, Faults: ofAPulse, Symbols: fedAndTriggered[0].Symbols, Letters: letters(by(NoSource, "OS", "OSR")),
		Also: []string{"one-shot-timer", "one-shot-relay", "single-shot", "single-shot-timer", "pulse-timer", "pulse-former"}},
	{Name: "triggered-timer", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: triggerKeys,
		Needs: needsSeconds, Delays: true, Armature: Triggered, Coils: fedAndTriggered, Loads: timerInput,
		Looks: []Look{output}, Faults: ofATimer, Symbols: fedAndTriggered[0].Symbols, Letters: letters(by(NoSource, "TTR")),
		Also: []string{"trigger-timer", "control-input-timer", "timer-with-trigger"}},
	{Name: "latching-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: []string{"reset", "set"},
		Keys: twoCoilKeys, Armature: Latches, Coils: setAndReset, Loads: smallCoil, Looks: []Look{isSet}, Faults: ofAKeeper,
		Symbols: setAndReset[0].Symbols,
		Letters: letters(by(NoSource, "LR", "LCR", "KL")), Also: []string{"latch-relay", "bistable-relay", "keep-relay"}},
	{Name: "alternating-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: []string{"first", "second"},
		Keys: relayKeys, Armature: Alternates, Loads: smallCoil, Looks: []Look{over, itsCoil}, Faults: ofAKeeper,
		Symbols: Symbols{"alternating-relay", "alternating-relay", "( )"},
		Letters: letters(by(NoSource, "ALT", "AR")), Also: []string{"alternator", "impulse-relay", "ratchet-relay"}},
	{Name: "current-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil,
		Keys: currentKeys, Needs: []string{"amps"}, Loads: currentCoil, Looks: []Look{pulledIn}, Faults: ofARelay,
		Symbols: Symbols{"current-relay", "current-relay", "( )"},
		Letters: letters(by(NoSource, "CSR", "KI")), Also: []string{"current-sensing-relay", "current-switch", "sensing-relay"}},

	{Name: "undervoltage-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil,
		Keys: relayKeys, Loads: watchedVolts, Looks: []Look{pulledIn}, Faults: ofARelay,
		Symbols: Symbols{"undervoltage-relay", "undervoltage-relay", "( )"},
		Letters: letters(by("IEEE C37.2, device function 27; from memory", "27"), by(NoSource, "UV", "UVR", "KUV")),
		Also:    []string{"voltage-relay", "low-voltage-relay", "voltage-monitor"}},
	{Name: "phase-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: []string{"L1", "L2", "L3"}, Phases: true,
		Positions: ofACoil, Keys: watchKeys, Armature: Watches, Loads: watchedPhases, Looks: []Look{pulledIn}, Faults: ofARelay,
		Symbols: Symbols{"phase-relay", "phase-relay", "( )"},
		Letters: letters(by(NoSource, "PFR", "KPF")), Also: []string{"phase-failure-relay", "phase-monitor", "phase-loss-relay"}},

	{Name: "solid-state-relay", Word: "solid-state relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: []string{"off", "on"},
		Keys: solidKeys, Electronic: true, Leakage: 5, Loads: solidInput, Looks: []Look{inputLit}, Faults: ofASolid,
		Symbols: Symbols{"solid-state-relay", "solid-state-relay", "(~: )"},
		Letters: letters(by(NoSource, "SSR", "SCR", "KSS")), Also: []string{"ssr", "solid-state-contactor", "thyristor-switch"}},
	{Name: "safety-relay", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: ofACoil, Keys: guardKeys,
		Armature: Guards, Coils: twoChannels, Loads: guardInput, Looks: []Look{switchedOn, ofChannel(1), ofChannel(2)}, Faults: ofAGuard,
		Symbols: twoChannels[0].Symbols,
		Letters: letters(by(NoSource, "SR", "SRL", "KS")), Also: []string{"guard-relay", "emergency-stop-relay", "two-channel-relay"}},
	{Name: "zone-module", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: coilEnds, Positions: []string{"quiet", "alarm"},
		Keys: zoneKeys, LifeSafety: true, Armature: Zones, Coils: ofAZone, Loads: zoneInput, Looks: []Look{inAlarm, inTrouble}, Faults: ofAZoneModule,
		Symbols: ofAZone[0].Symbols,
		Letters: letters(by(NoSource, "ZM", "ZN", "FZ")), Also: []string{"fire-zone", "alarm-zone", "zone-card", "detector-zone", "line-module"}},
	{Name: "drive", Kind: RelayKind, Moved: ByCoil, Place: "panel", Terminals: []string{"L1", "L2"}, Positions: []string{"stopped", "running"},
		Keys: driveKeys, Moves: true, Charged: true, Armature: Drives, Coils: ofADriveIn, Loads: driveInput, Looks: []Look{drivesOn, hasTripped}, Faults: ofADrive,
		Symbols: ofADriveIn[0].Symbols,
		Letters: letters(by(NoSource, "DRV", "VFD", "VSD")),
		Also:    []string{"variable-speed-drive", "vfd", "inverter", "frequency-converter", "frequency-drive"}},

	// What is lit, sounds, runs, pulls or gets hot.
	{Name: "lamp", Kind: LoadKind, Place: "door", Terminals: twoEnds, Numbered: []string{"X1", "X2"}, Keys: kindKeys, Loads: []Load{filament, led}, Looks: []Look{lit},
		Symbols: Symbols{"lamp", "lamp", "< >"},
		Letters: letters(by(jic, "LT"), by(ieee, "DS", "L/2"), by(iec+"; an audible signal is H as well, but mostly B or P", "H"),
			by(iec, "P", "PF"), by(NoSource, "PL", "HL")), Also: []string{"pilot-light", "light", "pilot-lamp", "indicator"}},
	{Name: "beacon", Kind: LoadKind, Place: "field", Terminals: twoEnds, Keys: kindKeys, Loads: []Load{bigFilament, bigLED, flashTube},
		Looks: []Look{flashing}, Symbols: Symbols{"beacon", "beacon", "< >"},
		Letters: letters(by(NoSource, "BCN", "BN", "FL")), Also: []string{"strobe", "rotating-light", "warning-light"}},
	{Name: "horn", Kind: LoadKind, Place: "door", Terminals: twoEnds, Keys: kindKeys, Loads: []Load{vibrator, sounder}, Looks: []Look{sounding},
		Symbols: Symbols{"horn", "horn", "< >"},
		Letters: letters(by("IEC 60750 has both a horn and a sensor as B; from memory", "B"), by(iec, "P/2", "PJ"), by(nema, "AH"),
			by(NoSource, "ALM", "HN", "HA")), Also: []string{"buzzer", "bell", "siren"}},
	{Name: "solenoid", Kind: LoadKind, Moved: ByCoil, Place: "field", Terminals: twoEnds, Keys: loadKeys, Moves: true, Loads: pullingCoil, Looks: []Look{pulledIn},
		Faults: ofAPlunger, Symbols: Symbols{"solenoid", "solenoid", "< >"},
		Letters: letters(by(jic, "SOL"), by(iec, "Y"), by(ieee, "L"), by(NoSource, "YV")), Also: []string{"valve", "solenoid-valve"}},
	{Name: "motor", Kind: LoadKind, Place: "field", Terminals: twoEnds, Keys: loadKeys, Moves: true, Loads: motorWinding, Looks: []Look{running},
		Symbols: Symbols{"motor", "motor", "< >"},
		Letters: letters(by(jic, "MTR", "M/2"), by(iec, "MA")), Also: []string{"fan", "pump"}},
	{Name: "ammeter", Kind: LoadKind, Place: "door", Terminals: twoEnds, Keys: []string{"terminals", "amps", "ohms"}, Needs: []string{"amps"},
		Loads: movement, Looks: []Look{deflects}, Symbols: Symbols{"ammeter", "ammeter", "<A: >"},
		Letters: letters(by(jic, "AM"), by(iec, "PG"), by(NoSource, "PA")), Also: []string{"amp-meter", "current-meter"}},
	{Name: "single-phase-motor", Word: "single-phase motor", Kind: LoadKind, Place: "field", Terminals: twoEnds, Keys: loadKeys, Moves: true, Coils: runAndStart,
		Loads: twoWindings, Looks: []Look{turning, humming}, Faults: ofAMotor, Symbols: runAndStart[0].Symbols,
		Letters: letters(by(NoSource, "SPM")), Also: []string{"split-phase-motor", "capacitor-motor"}},
	{Name: "three-phase-motor", Word: "three-phase motor", Kind: LoadKind, Place: "field", Terminals: threeLeads, Phases: true,
		Keys: append([]string{"connection"}, loadKeys...), Moves: true, Loads: threeWindings, Looks: []Look{turning, humming},
		Faults: ofAMotor, Symbols: Symbols{"motor-winding", "motor-winding", "< >"},
		Letters: letters(by(jic, "MTR/2", "M/3"), by(iec, "MA/2")), Also: []string{"induction-motor"}},
	{Name: "two-speed-motor", Word: "two-speed motor", Kind: LoadKind, Place: "field", Terminals: []string{"1U", "1V", "1W", "2U", "2V", "2W"}, Phases: true,
		Numbered: []string{"T1", "T2", "T3", "T11", "T12", "T13"},
		Keys:     append([]string{"connection"}, loadKeys...), Moves: true, Loads: threeWindings, Looks: []Look{turning, humming, fast},
		Faults: ofAMotor, Symbols: Symbols{"motor-winding", "motor-winding", "< >"},
		Letters: letters(by(NoSource, "TSM")), Also: []string{"two-winding-motor", "separate-winding-motor"}},
	{Name: "heater", Kind: LoadKind, Place: "field", Terminals: twoEnds, Keys: loadKeys, Loads: strip, Looks: []Look{hot},
		Symbols: Symbols{"heater", "heater", "< >"},
		Letters: letters(by(nema, "HTR"), by(iec, "EB"), by(ieee, "HR")), Also: []string{"strip-heater", "heating-element", "space-heater"}},

	// What is in the way of the current, and nobody sees work.
	{Name: "diode", Kind: PassiveKind, Place: "panel", Terminals: []string{"A", "K"}, Keys: twoEndKeys, Loads: silicon,
		Symbols: Symbols{"diode", "diode", "|>|"},
		Letters: letters(by(ieee, "D"), by(jic, "REC"), by(iec, "RA", "V"), by(NoSource, "DI")),
		Also:    []string{"rectifier", "blocking-diode", "suppression-diode", "freewheel-diode", "flyback-diode", "steering-diode"}},
	{Name: "resistor", Kind: PassiveKind, Place: "panel", Terminals: twoEnds, Keys: resistorKeys, Needs: []string{"ohms"}, Loads: resistance,
		Symbols: Symbols{"resistor", "resistor", "/\\/"},
		Letters: letters(by(jic, "RES"), by(ieee+"; IEC 60750 as well", "R/4"), by(iec, "RA/2")), Also: []string{"end-of-line-resistor", "dropping-resistor", "bleeder"}},
	{Name: "capacitor", Kind: PassiveKind, Charged: true, Place: "panel", Terminals: twoEnds, Keys: capacitorKeys, Needs: []string{"microfarads"}, Loads: charge,
		Symbols: Symbols{"capacitor", "capacitor", "||"},
		Letters: letters(by(jic, "CAP"), by(ieee+"; IEC 60750 as well", "C"), by(iec, "CA")), Also: []string{"condenser"}},
	{Name: "rc-suppressor", Word: "RC suppressor", Kind: PassiveKind, Place: "panel", Terminals: twoEnds, Keys: capacitorKeys, Loads: snubber,
		Symbols: Symbols{"rc-suppressor", "rc-suppressor", "/||"},
		Letters: letters(by(NoSource, "RC/2", "SUP", "SNB")), Also: []string{"snubber", "rc-network", "spark-quencher", "surge-suppressor"}},
	{Name: "varistor", Kind: PassiveKind, Place: "panel", Terminals: twoEnds, Keys: twoEndKeys, Loads: clamp,
		Symbols: Symbols{"varistor", "varistor", "/U/"},
		Letters: letters(by(ieee, "RV"), by(NoSource, "MOV", "VDR", "VR")), Also: []string{"mov", "metal-oxide-varistor"}},
	{Name: "current-transformer", Kind: PassiveKind, Place: "panel", Terminals: []string{"S1", "S2"}, Primary: []string{"P1", "P2"},
		Keys: []string{"primary-amps", "amps", "terminals", "primary"}, Needs: []string{"primary-amps"}, Loads: measuring,
		Symbols: Symbols{"ct-secondary", "ct-secondary", "{~}"}, InPole: Symbols{"ct-primary", "ct-primary", "(-)"},
		Letters: letters(by(jic, "CT"), by(iec, "BC"), by(NoSource, "CTR")), Also: []string{"ct", "measuring-transformer"}},
	{Name: "controller-input", Kind: LoadKind, Place: "panel", Terminals: twoEnds, Keys: pointKeys, Loads: pointInput, Looks: []Look{pointLit},
		Symbols: Symbols{"controller-input", "controller-input", "<I: >"},
		Letters: letters(by(NoSource, "DI", "IN")), Also: []string{"plc-input", "input-point", "input-card"}},

	// What wires go through.
	{Name: "connector", Kind: ConnectorKind, Place: "panel", Keys: []string{"pins"}, Needs: []string{"pins"},
		Faults: Faults{Opens: Said{"pin-open", "pin {part} of connector {name} is open"}}, Symbols: Symbols{"pin", "pin", ">>"},
		Letters: letters(by(ieee, "J", "P/3"), by(nema, "PLG", "RECP"), by(jic, "RECEP", "SOC"), by(iec, "X/2"), by(NoSource, "PL/2", "XS")),
		Also:    []string{"plug", "socket", "receptacle"}},
	{Name: "terminal-block", Kind: BlockKind, Place: "panel", Keys: []string{"terminals", "bridges"}, Needs: []string{"terminals"},
		Faults: Faults{Opens: Said{"bridge-open", "bridge {part} of terminal block {name} is open"}}, Symbols: Symbols{"terminal", "terminal", "o"},
		Letters: letters(by(jic, "TB"), by(iec, "X", "XD"), by(NoSource, "XT")), Also: []string{"terminals", "terminal-strip", "terminal"}},
}
