//! Serial ports: listing, opening, reading, sending. The only file that names `serialport`, and
//! the only one of this room that touches the outside.

use std::io::{Read, Write};
use std::path::Path;
use std::time::Duration;

use serialport::{ClearBuffer, DataBits, FlowControl, SerialPort, SerialPortType, StopBits};

use super::adapter::{Flow, LineSettings, Parity, Pin, Trigger};
use super::address::{PortAddress, UsbIdentity};
use super::listening::{Port, PortError, PortFault, READ_TIME};
use super::marked::Marked;
use super::permission::group_named;

/// A port that the system lists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenPort {
    /// Its path, to open it by.
    pub path: String,
    /// The USB adapter behind it, if it is one.
    pub usb: Option<UsbIdentity>,
    /// What the adapter calls itself.
    pub product: Option<String>,
    /// Whether it can be opened, as far as can be seen without opening it (opening may pulse a
    /// control line, and so power or trigger a gauge).
    pub access: PortAccess,
}

/// Whether a port can be opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PortAccess {
    /// Nothing speaks against it.
    Free,
    /// This user may not open it.
    NotPermitted,
    /// A program has it open (seen only for programs that this user may look into).
    Busy,
}

/// The serial ports that are attached, in the order of their paths.
///
/// # Errors
/// [`PortFault::Other`] when the system cannot list them. Pseudo-terminals are never listed but
/// can be opened by path.
pub fn list_ports() -> Result<Vec<SeenPort>, PortError> {
    // The listing below panics where this folder is absent (containers, read in its source).
    if cfg!(target_os = "linux") && !Path::new("/sys/class/tty").is_dir() {
        return Ok(Vec::new());
    }
    let listed = serialport::available_ports().map_err(|error| PortError {
        fault: PortFault::Other,
        port: "list".to_owned(),
        errno: None,
        found: error.description,
    })?;
    let mut seen: Vec<SeenPort> = listed
        .into_iter()
        .map(|port| {
            let usb = match port.port_type {
                SerialPortType::UsbPort(usb) => Some(usb),
                _ => None,
            };
            SeenPort {
                access: access(&port.port_name),
                path: port.port_name,
                product: usb.as_ref().and_then(|usb| usb.product.clone()),
                usb: usb.map(|usb| UsbIdentity {
                    vendor: usb.vid,
                    product: usb.pid,
                    serial: usb.serial_number,
                }),
            }
        })
        .collect();
    seen.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(seen)
}

/// The path of an address among the ports that were seen.
///
/// # Errors
/// [`PortFault::NotFound`] naming what is attached, [`PortFault::Several`] naming the candidates.
fn path_of(address: &PortAddress, seen: &[SeenPort]) -> Result<String, PortError> {
    let identity = match address {
        PortAddress::Path(path) => return Ok(path.clone()),
        PortAddress::Usb(identity) => identity,
    };
    let fits = |port: &&SeenPort| port.usb.as_ref().is_some_and(|usb| identity.means(usb));
    let candidates: Vec<&SeenPort> = seen.iter().filter(fits).collect();
    let refused = |fault, found| PortError {
        fault,
        port: identity.to_string(),
        errno: None,
        found,
    };
    let names = |ports: &mut dyn Iterator<Item = &SeenPort>| {
        let names: Vec<String> = ports
            .map(|port| match &port.usb {
                Some(usb) => format!("{} at {}", usb, port.path),
                None => port.path.clone(),
            })
            .collect();
        names.join(", ")
    };
    match candidates.as_slice() {
        [only] => Ok(only.path.clone()),
        [] if seen.is_empty() => Err(refused(PortFault::NotFound, "no port is attached".into())),
        [] => {
            let attached = names(&mut seen.iter());
            Err(refused(
                PortFault::NotFound,
                format!("attached: {attached}"),
            ))
        }
        _ => Err(refused(
            PortFault::Several,
            names(&mut candidates.iter().copied()),
        )),
    }
}

/// An open serial port.
pub struct SerialLine {
    port: Box<dyn SerialPort>,
    path: String,
    line: LineSettings,
    warnings: Vec<PortError>,
    /// Damaged bytes are marked by the driver.
    marked: Option<Marked>,
}

impl std::fmt::Debug for SerialLine {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SerialLine")
            .field("path", &self.path)
            .field("line", &self.line)
            .finish_non_exhaustive()
    }
}

impl SerialLine {
    /// Opens a port for this program alone and sets its line; reads wait [`READ_TIME`].
    ///
    /// Bytes that came before the line was set are dropped: they may be garbled. Control lines
    /// that cannot be set (pseudo-terminals have none) are told in [`SerialLine::warnings`].
    ///
    /// # Errors
    /// Every fault but a time-out.
    pub fn open(address: &PortAddress, line: LineSettings) -> Result<Self, PortError> {
        Self::open_listed(address, line, list_ports)
    }

    /// The same, among the ports that `list` gives; it is asked only for a USB identity.
    ///
    /// # Errors
    /// As [`SerialLine::open`].
    pub fn open_listed(
        address: &PortAddress,
        line: LineSettings,
        list: impl FnOnce() -> Result<Vec<SeenPort>, PortError>,
    ) -> Result<Self, PortError> {
        let path = match address {
            PortAddress::Path(path) => path.clone(),
            PortAddress::Usb(_) => path_of(address, &list()?)?,
        };
        Self::open_path(path, line)
    }

    fn open_path(path: String, line: LineSettings) -> Result<Self, PortError> {
        let parity = match line.parity {
            Parity::None => serialport::Parity::None,
            Parity::Even => serialport::Parity::Even,
            Parity::Odd => serialport::Parity::Odd,
            Parity::Mark | Parity::Space => {
                return Err(PortError {
                    fault: PortFault::Unsupported,
                    port: path,
                    errno: None,
                    found: "mark and space parity".to_owned(),
                });
            }
        };
        let opened = serialport::new(path.as_str(), line.baud)
            .data_bits(match line.data_bits {
                7 => DataBits::Seven,
                _ => DataBits::Eight,
            })
            .parity(parity)
            .stop_bits(match line.stop_bits {
                2 => StopBits::Two,
                _ => StopBits::One,
            })
            .flow_control(match line.flow {
                Flow::None => FlowControl::None,
                Flow::RtsCts => FlowControl::Hardware,
                Flow::XonXoff => FlowControl::Software,
            })
            .timeout(READ_TIME)
            .open_native();
        let native = opened.map_err(|error| open_error(&path, &error))?;
        let mut warnings = Vec::new();
        let marked = match damaged_bytes_are_marked(&native) {
            Ok(is_marked) => is_marked.then(Marked::default),
            Err(error) => {
                warnings.push(io_error(&path, &error));
                None
            }
        };
        let mut opened = Self {
            port: Box::new(native),
            path,
            line,
            warnings,
            marked,
        };
        let resting = [(Pin::Dtr, line.dtr), (Pin::Rts, line.rts)];
        for (pin, level) in resting {
            // With hardware flow control the driver moves RTS itself.
            if pin == Pin::Rts && line.flow == Flow::RtsCts {
                continue;
            }
            if let Err(warning) = opened.set_pin(pin, level) {
                opened.warnings.push(warning);
            }
        }
        if let Err(error) = opened.port.clear(ClearBuffer::Input) {
            opened.warnings.push(opened.fault(PortFault::Other, &error));
        }
        Ok(opened)
    }

    /// The path that was opened.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// What could not be set while opening; the port can be read nevertheless.
    pub fn warnings(&self) -> &[PortError] {
        &self.warnings
    }

    /// Asks for a reading as the adapter says: sends its request or pulses its line. Nothing for
    /// adapters that send by themselves.
    ///
    /// # Errors
    /// [`PortFault::Gone`], or [`PortFault::Other`] when the line cannot be moved.
    pub fn request(&mut self, trigger: &Trigger) -> Result<(), PortError> {
        match trigger {
            Trigger::Unsolicited | Trigger::Stream | Trigger::Typed => Ok(()),
            Trigger::Request { send, .. } => self.write(send),
            Trigger::LinePulse { pin, pulse_ms } => {
                let resting = match pin {
                    Pin::Dtr => self.line.dtr,
                    Pin::Rts => self.line.rts,
                };
                self.set_pin(*pin, !resting)?;
                std::thread::sleep(Duration::from_millis(u64::from(*pulse_ms)));
                self.set_pin(*pin, resting)
            }
        }
    }

    fn set_pin(&mut self, pin: Pin, level: bool) -> Result<(), PortError> {
        let done = match pin {
            Pin::Dtr => self.port.write_data_terminal_ready(level),
            Pin::Rts => self.port.write_request_to_send(level),
        };
        done.map_err(|error| self.fault(PortFault::Other, &error))
    }

    fn fault(&self, fault: PortFault, error: &serialport::Error) -> PortError {
        PortError {
            fault,
            port: self.path.clone(),
            errno: None,
            found: error.description.clone(),
        }
    }
}

impl Port for SerialLine {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, PortError> {
        match self.port.read(buffer) {
            // A port whose far end is gone gives nothing again and again, at once.
            Ok(0) => Err(PortError {
                fault: PortFault::Gone,
                port: self.path.clone(),
                errno: None,
                found: "end of the line".to_owned(),
            }),
            Ok(count) => match (&mut self.marked, buffer.get_mut(..count)) {
                (Some(marked), Some(came)) => match marked.undone(came) {
                    // Half a mark: the rest of it is on its way.
                    0 => self.read(buffer),
                    kept => Ok(kept),
                },
                _ => Ok(count),
            },
            Err(error) => Err(io_error(&self.path, &error)),
        }
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), PortError> {
        self.port
            .write_all(bytes)
            .and_then(|()| self.port.flush())
            .map_err(|error| io_error(&self.path, &error))
    }

    fn wait_at_most(&mut self, time: Duration) -> Duration {
        if self.port.timeout() != time && self.port.set_timeout(time).is_err() {
            return self.port.timeout();
        }
        time
    }
}

/// Makes the driver mark a byte with a parity or framing error (`marked.rs` undoes the marks).
///
/// Opening without parity sets IGNPAR, which drops such a byte: its neighbours would join and
/// `+12.345` could arrive as a well-formed `+1.345`. (POSIX, termios: IGNPAR, INPCK, PARMRK.)
#[cfg(unix)]
fn damaged_bytes_are_marked(port: &serialport::TTYPort) -> std::io::Result<bool> {
    use std::os::fd::AsRawFd;
    let fd = port.as_raw_fd();
    let mut settings = settings_of(fd)?;
    settings.c_iflag |= libc::INPCK | libc::PARMRK;
    settings.c_iflag &= !(libc::IGNPAR | libc::IGNBRK | libc::BRKINT | libc::ISTRIP);
    // SAFETY: `fd` is the open port's and `settings` is a whole termios that is only read.
    #[allow(unsafe_code)]
    let answer = unsafe { libc::tcsetattr(fd, libc::TCSANOW, &raw const settings) };
    match answer {
        0 => Ok(true),
        _ => Err(std::io::Error::last_os_error()),
    }
}

#[cfg(not(unix))]
fn damaged_bytes_are_marked(_port: &serialport::COMPort) -> std::io::Result<bool> {
    Ok(false)
}

/// The terminal settings of an open port.
#[cfg(unix)]
fn settings_of(fd: std::os::fd::RawFd) -> std::io::Result<libc::termios> {
    let mut settings = std::mem::MaybeUninit::<libc::termios>::zeroed();
    // SAFETY: `settings` has room for a termios, which the call fills; all-zero is valid for it.
    #[allow(unsafe_code)]
    let (answer, settings) = unsafe {
        let answer = libc::tcgetattr(fd, settings.as_mut_ptr());
        (answer, settings.assume_init())
    };
    match answer {
        0 => Ok(settings),
        _ => Err(std::io::Error::last_os_error()),
    }
}

/// The fault behind an error of reading or writing.
fn io_error(path: &str, error: &std::io::Error) -> PortError {
    use std::io::ErrorKind;
    // EIO, ENXIO and ENODEV are what drivers give once the device is pulled.
    let pulled = matches!(error.raw_os_error(), Some(5 | 6 | 19));
    let fault = match error.kind() {
        ErrorKind::TimedOut | ErrorKind::WouldBlock | ErrorKind::Interrupted => PortFault::Timeout,
        ErrorKind::BrokenPipe
        | ErrorKind::NotConnected
        | ErrorKind::UnexpectedEof
        | ErrorKind::NotFound => PortFault::Gone,
        ErrorKind::PermissionDenied => PortFault::NotPermitted,
        _ if cfg!(unix) && pulled => PortFault::Gone,
        _ => PortFault::Other,
    };
    PortError {
        fault,
        port: path.to_owned(),
        errno: error.raw_os_error(),
        found: error.to_string(),
    }
}

/// The fault behind an error of opening. The crate drops the system's number, so it is asked
/// for once more where that tells more.
fn open_error(path: &str, error: &serialport::Error) -> PortError {
    use std::io::ErrorKind;
    let asked = match error.kind {
        serialport::ErrorKind::NoDevice => Ok(true),
        _ => opened_as_file(path),
    };
    let fault = match (error.kind, asked) {
        (serialport::ErrorKind::NoDevice, _) => PortFault::Busy,
        (_, Err(Some(errno))) => match errno {
            1 | 13 => PortFault::NotPermitted,
            2 | 6 | 19 => PortFault::NotFound,
            16 => PortFault::Busy,
            20 | 21 | 25 => PortFault::NotSerial,
            _ => PortFault::Other,
        },
        (serialport::ErrorKind::Io(ErrorKind::NotFound), _) => PortFault::NotFound,
        (serialport::ErrorKind::Io(ErrorKind::PermissionDenied), _) => PortFault::NotPermitted,
        (serialport::ErrorKind::Unknown, Ok(false)) => PortFault::NotSerial,
        _ => PortFault::Other,
    };
    let group = group_of(path).filter(|_| fault == PortFault::NotPermitted);
    PortError {
        fault,
        port: path.to_owned(),
        errno: asked.err().flatten(),
        found: match group {
            Some(group) => format!("{}; it belongs to the group {group}", error.description),
            None => error.description.clone(),
        },
    }
}

/// The group that owns a port, whose members may open it; its number where it has no name. None
/// where its group may not open it either, or cannot be seen.
#[cfg(unix)]
pub fn group_of(path: &str) -> Option<String> {
    use std::os::unix::fs::MetadataExt;
    let seen = std::fs::metadata(path).ok()?;
    let named = std::fs::read_to_string("/etc/group").unwrap_or_default();
    let name = group_named(&named, seen.gid()).unwrap_or_else(|| seen.gid().to_string());
    (seen.mode() & 0o060 == 0o060).then_some(name)
}

/// The group that owns a port: not known on this system.
#[cfg(not(unix))]
pub fn group_of(_path: &str) -> Option<String> {
    None
}

/// Whether a path that can be opened for reading and writing is a terminal, which serial ports
/// are; else the system's error number.
#[cfg(unix)]
fn opened_as_file(path: &str) -> Result<bool, Option<i32>> {
    use std::io::IsTerminal;
    use std::os::unix::fs::OpenOptionsExt;
    std::fs::OpenOptions::new()
        .read(true)
        .write(true)
        .custom_flags(libc::O_NONBLOCK | libc::O_NOCTTY)
        .open(path)
        .map(|file| file.is_terminal())
        .map_err(|error| error.raw_os_error())
}

#[cfg(not(unix))]
fn opened_as_file(_path: &str) -> Result<bool, Option<i32>> {
    Err(None)
}

/// Whether a port can be opened, seen from outside.
fn access(path: &str) -> PortAccess {
    if !permitted(path) {
        PortAccess::NotPermitted
    } else if open_somewhere(Path::new(path)) {
        PortAccess::Busy
    } else {
        PortAccess::Free
    }
}

#[cfg(unix)]
fn permitted(path: &str) -> bool {
    let Ok(path) = std::ffi::CString::new(path) else {
        return false;
    };
    // SAFETY: `path` is a NUL-terminated string that lives through the call, which only reads it.
    #[allow(unsafe_code)]
    let answer = unsafe { libc::access(path.as_ptr(), libc::R_OK | libc::W_OK) };
    answer == 0
}

#[cfg(not(unix))]
fn permitted(_path: &str) -> bool {
    true
}

/// Whether some process that this user may look into has the file open.
fn open_somewhere(path: &Path) -> bool {
    let Ok(processes) = std::fs::read_dir("/proc") else {
        return false;
    };
    processes
        .flatten()
        .filter_map(|process| std::fs::read_dir(process.path().join("fd")).ok())
        .flat_map(|files| files.flatten())
        .any(|file| std::fs::read_link(file.path()).is_ok_and(|target| target == path))
}

#[cfg(test)]
mod tests {
    use super::{
        LineSettings, Parity, PortAccess, SeenPort, SerialLine, access, io_error, list_ports,
        open_error, path_of,
    };
    use crate::wire::address::{PortAddress, UsbIdentity};
    use crate::wire::listening::PortFault;

    fn seen(path: &str, usb: &str) -> SeenPort {
        SeenPort {
            path: path.to_owned(),
            usb: UsbIdentity::parse(usb),
            product: None,
            access: PortAccess::Free,
        }
    }

    #[test]
    fn an_adapter_is_found_by_its_identity_under_any_path() {
        let ports = [
            seen("/dev/ttyS0", ""),
            seen("/dev/ttyUSB3", "1209:0001:BENCH3"),
            seen("/dev/ttyUSB7", "1209:0001:BENCH4"),
        ];
        for (address, found) in [
            ("1209:0001:BENCH3", Ok("/dev/ttyUSB3")),
            ("1209:0001:BENCH4", Ok("/dev/ttyUSB7")),
            ("1209:0001", Err(PortFault::Several)),
            ("1209:0001:BENCH5", Err(PortFault::NotFound)),
            ("/dev/pts/9", Ok("/dev/pts/9")),
        ] {
            let path = path_of(&PortAddress::new(address), &ports).map_err(|error| error.fault);
            assert_eq!(path.as_deref(), found.as_ref().copied(), "{address}");
        }
        let refused = path_of(&PortAddress::new("1209:0001:BENCH5"), &ports).unwrap_err();
        assert!(
            refused.to_string().contains("BENCH4 at /dev/ttyUSB7"),
            "{refused}"
        );
    }

    #[cfg(unix)]
    #[test]
    fn a_damaged_byte_is_never_dropped_by_the_driver() {
        use super::settings_of;
        use std::os::fd::AsRawFd;
        let (master, near) = serialport::TTYPort::pair().unwrap();
        let path = serialport::SerialPort::name(&near).unwrap();
        drop(near);
        for parity in [Parity::None, Parity::Even, Parity::Odd] {
            let line = LineSettings {
                parity,
                ..crate::wire::built_in("line-free").unwrap().line().unwrap()
            };
            let _open = SerialLine::open(&PortAddress::new(&path), line).unwrap();
            // On a pseudo-terminal both ends share the settings.
            let flags = settings_of(master.as_raw_fd()).unwrap().c_iflag;
            assert_eq!(flags & (libc::IGNPAR | libc::IGNBRK), 0, "{parity:?}");
            assert_ne!(flags & libc::PARMRK, 0, "{parity:?}");
            assert_ne!(flags & libc::INPCK, 0, "{parity:?}");
        }
    }

    #[test]
    fn the_listing_works_where_there_may_be_no_port_at_all() {
        assert!(list_ports().is_ok());
    }

    #[test]
    fn a_file_that_this_program_holds_open_is_busy_and_one_that_is_not_there_not_permitted() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let path = file.path().to_str().unwrap().to_owned();
        if cfg!(target_os = "linux") {
            assert_eq!(access(&path), PortAccess::Busy);
        }
        let closed = file.into_temp_path();
        assert_eq!(access(&path), PortAccess::Free);
        closed.close().unwrap();
        assert_eq!(access(&path), PortAccess::NotPermitted);
    }

    #[test]
    fn the_system_s_errors_are_told_apart_with_their_numbers() {
        for (errno, fault) in [
            (5, PortFault::Gone),
            (6, PortFault::Gone),
            (19, PortFault::Gone),
            (32, PortFault::Gone),
            (13, PortFault::NotPermitted),
            (110, PortFault::Timeout),
            (4, PortFault::Timeout),
            (12, PortFault::Other),
        ] {
            let error = io_error("p", &std::io::Error::from_raw_os_error(errno));
            assert_eq!((error.fault, error.errno), (fault, Some(errno)));
        }
        use std::io::ErrorKind::{NotFound, PermissionDenied};
        for (kind, fault) in [
            (serialport::ErrorKind::NoDevice, PortFault::Busy),
            (serialport::ErrorKind::Io(NotFound), PortFault::NotFound),
            (
                serialport::ErrorKind::Io(PermissionDenied),
                PortFault::NotPermitted,
            ),
            (serialport::ErrorKind::Unknown, PortFault::NotSerial),
            (serialport::ErrorKind::InvalidInput, PortFault::Other),
        ] {
            // A path that opens, so that only the crate's kind speaks.
            let error = open_error("/dev/null", &serialport::Error::new(kind, "words"));
            assert_eq!((error.fault, error.errno), (fault, None), "{kind:?}");
            assert!(error.to_string().contains("words") && !error.hint().is_empty());
        }
        let missing = serialport::Error::new(serialport::ErrorKind::Unknown, "words");
        let error = open_error("/nowhere/at/all", &missing);
        assert_eq!((error.fault, error.errno), (PortFault::NotFound, Some(2)));
    }
}
