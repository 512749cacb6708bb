package model

// String names the element type in one word.
func (t ElementType) String() string {
	return [...]string{ElemWire: "wire", ElemContact: "contact", ElemChart: "chart", ElemCoil: "coil", ElemLoad: "load",
		ElemResistor: "resistor", ElemDiode: "diode", ElemFuse: "fuse", ElemSupply: "supply", ElemDriver: "driver",
		ElemPull: "pull", ElemDraw: "draw", ElemConnector: "connector"}[t]
}

// String names the memory kind in one word.
func (k MemoryKind) String() string {
	return [...]string{MemCoil: "coil", MemArmature: "armature", MemThreshold: "threshold", MemLevel: "level",
		MemPowered: "powered", MemFollow: "follow", MemBand: "band", MemFuse: "fuse"}[k]
}

// String writes the form as the language does: "make".
func (f ContactForm) String() string {
	return [...]string{Make: "make", Break: "break", Changeover: "changeover"}[f]
}

// String writes the form as the language does: "falls only while".
func (k AssumptionKind) String() string {
	return [...]string{AssumeFalls: "falls only while", AssumeRises: "rises only while", AssumeMoves: "moves only while",
		AssumeNever: "never", AssumeAlways: "always"}[k]
}

// String writes the form as the language does: "whenever".
func (k RequireKind) String() string {
	return [...]string{Never: "never", Always: "always", Whenever: "whenever", Possible: "possible", Within: "within",
		Repeats: "repeats", Apart: "apart"}[k]
}
