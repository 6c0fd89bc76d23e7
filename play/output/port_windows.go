package output

const (
	whereDevices  = "serial devices are COM1, COM2 and so on: see the device manager"
	howPermission = "another program may hold it"
)
