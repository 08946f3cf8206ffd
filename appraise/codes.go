package appraise

// Checkpoints that mean more than their limits say.
const (
	tyreTread         = "tyre-tread"
	tyreCode          = "tyre-code"
	tyreLoadIndex     = "tyre-load-index"
	tyreSpeedSymbol   = "tyre-speed-symbol"
	spareWheel        = "spare-wheel"
	tyreRepairKit     = "tyre-repair-kit"
	damp              = "damp"
	batteryRestVolts  = "battery-rest-volts"
	fridge12V         = "fridge-12v"
	smokeAlarmExpiry  = "smoke-alarm-expiry"
	coAlarmExpiry     = "co-alarm-expiry"
	keysCount         = "keys-count"
	weighbridgeTicket = "weighbridge-ticket"
)

// DampCheckpoint is the code of the moisture meter's readings.
const DampCheckpoint = damp
