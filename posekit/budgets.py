"""Every stated limit of size, depth, number and digits, in one place, each with the reason for it.

They are far above what a figure needs and far below what fills a machine: input within them is answered, input
beyond them is refused with what was found and what would be right. `posekit.paths.read_within` keeps those of files.
"""

from __future__ import annotations

MIB = 1 << 20

# Files, in bytes.
TOML_BYTES = (
    1 * MIB
)  # prop.toml or cues: PARTS links, joints and drives fill half of it; to read it takes 2 s
SNAPSHOT_BYTES = 1 * MIB  # 100 universes of 512 slots take 700 kB as CSV
MEASURED_BYTES = 1 * MIB  # pairs read off a protractor: a bench has dozens, this holds 50,000
MEASURED_PAIRS = (
    200  # of a table in the page, which has a row for each; the fit looks at all slopes between two
)
NOTES_BYTES = (
    12 * MIB
)  # of a director's notes, and of all kept with a prop: NOTES of NOTE_LETTERS plain letters
NOTES = (
    1000  # kept with a prop; a director leaves some dozens in an evening, and each has a mark in the picture
)
NOTE_LETTERS = 10_000  # of one note: five pages
NOTE_BLOCKS = 100  # of notes in one message: a long thread of replies quotes a dozen
PIECES_BYTES = 8 * MIB  # a thousand convex pieces of a hundred corners take 6 MB
VERDICT_BYTES = 1 * MIB  # one pair, its witness and its proof take some hundreds of bytes
RECORDING_BYTES = 64 * MIB  # an hour of a universe that always moves takes 50 MB as a capture
MESH_BYTES = 32 * MIB  # a binary STL of 650,000 triangles; a printed part has some ten thousand
KEPT_MESHES = 128  # once read, with
KEPT_MESH_BYTES = MIB // 4  # at most each: 32 MiB in all, far less than the files may take
KEPT_WATCHES = 4  # what is judged of a prop, as it is and as undo and redo have it: a MiB each
FOLDER_BYTES = 128 * MIB  # a prop with all its files: what a phone's browser can hold beside Python
FOLDER_FILES = 4096  # meshes, looks and shows of one prop
GLB_BYTES = FOLDER_BYTES + MESH_BYTES  # a GLB carries the folder, and its meshes once more to look at
GLB_JSON_BYTES = 8 * MIB  # of its description: that holds prop.toml and the pose, and no mesh

# XML of others: robot descriptions, Collada meshes.
XML_BYTES = 32 * MIB  # as MESH_BYTES, since some of it is meshes; the largest URDF known has 0.2
XML_DEPTH = 64  # elements within elements; a URDF has six, a scene of Collada some twenty
XML_ELEMENTS = 200_000  # a URDF of PARTS links and SHAPES shapes has 50,000
FOLDERS_UP = (
    5  # from a URDF, where its meshes are looked for: packages lie beside each other two to four folders up
)

# What unpacks to more than it is.
INFLATED_BYTES = FOLDER_BYTES  # of a link or zip: what it unpacks to is a folder
LINK_LETTERS = 4 * MIB  # a browser takes two million or less as an address: a longer link was never one

# A prop.
PARTS = 500  # links of a prop, and joints, drives and servos: the largest figures have some dozens
SHAPES = 5000  # shapes of all links, ten for each
KEYS = 100_000  # values in a file of TOML: PARTS links, joints and drives with all their keys take a tenth
TOML_DEPTH = 32  # tables within tables; a prop file has six
JSON_DEPTH = 32  # lists and tables in JSON; pieces have five, a verdict four

# Meshes.
MESH_TRIANGLES = (
    200_000  # of one file; the page still turns a figure of twenty such, and a scan comes thinned
)
IMPORT_TRIANGLES = 2_000_000  # of one file that is brought in, to be thinned: a fine scan of a whole figure
IMPORT_BYTES = 256 * MIB  # such a file as ASCII STL of half of that, or as any other kind with all of them
COLOUR_BYTES = 1 * MIB  # of a file of materials; one takes a hundred bytes or two
PICTURE_PIXELS = 8192 * 8192  # of a picture in a GLB: the most that graphics cards are sure to take
PICTURE_EDGE = 256  # pixels a side that are looked at: all that comes of them is a mean
PICTURES = 16  # of one GLB that are looked at for colours; a figure has one or two
MESH_NODES = 2000  # of a GLB; an assembly of parts has some dozens
LINES_OF_TRIANGLE = 8  # of a text mesh: an ASCII STL has seven for each triangle
LINE_BYTES = 64 * 1024  # of a text mesh; a face of FACE_CORNERS takes half of it
CORNERS_OF_TRIANGLE = 3  # vertices named for each triangle before equal ones are made one
FACE_CORNERS = 1000  # of one face of an OBJ or PLY; a disc from a CAD program has a hundred
PIECES = 2000  # convex ones of a mesh: each pair of links looks at all its pairs of pieces
HULL_CORNERS = (
    1000  # of a convex hull in clearance, whose time grows with them; what they leave out is its skin
)

# An envelope.
CELLS = (
    1_000_000  # boxes of positions judged for one pair, thirty times what the hardest of a demo takes: 200 MB
)

HOLDING_BOXES = (
    40_000  # of shaft angles, for the worst that one servo holds: twice what the hardest of a demo takes
)

FALL_PAIRS = (
    2000  # of parts looked at on the way of all falls of one report: five times what the hardest demo has
)

BOXES = 200_000  # each against a piece, looked at in one go for hollows inside a mesh: some seconds, 100 MB

# A linkage that is looked for.
SIZES_LISTED = 16  # lengths or numbers of teeth that can be had; a hobby shop has a dozen horns
SERVO_PLACES = 16  # of a push-rod, each of which takes a search of its own: two seconds
POSITIONS = 64  # of a joint at values: more than anybody measures, and few enough for one search

# Numbers and names.
DIGITS = 32  # of one number: a float64 has 17, and the time for long ones grows with the square
WHOLE_NUMBER = 2**53  # up to here float64, and so JSON in a browser, holds every whole number
NAME_LETTERS = 200  # of a part, joint, drive, cue or prop: a table still shows it
PATH_LETTERS = 240  # of a path inside a folder: Windows takes 260 with the folder in front (MAX_PATH)
PATH_DEPTH = 16  # folders within folders in it

# Shows.
CUES = 10_000  # of one list: an hour of a cue every third of a second
FRAMES = 1_000_000  # of a show: six hours at the 44 frames a second of a full universe
SHOW_VALUES = 10_000_000  # frames times drives: an hour of 60 drives at 44 frames a second, 80 MB
SHOW_TORQUES = 20_000_000  # instants times drives at once: an hour of the heron, ever moving, 700 MB
RECORDED_ROWS = 2_000_000  # of a recording as CSV: an hour of 12 slots that change with every frame
DAY_S = 86_400.0  # the longest show; what runs longer is a loop of a shorter one
FILE_POSES = (
    600_000  # of one part each, of a show in the director's file: 25 minutes of the heron's 15 parts, 5 MB
)
SOURCES = 64  # of one universe, told apart at a time: a stage has a handful, and each packet compares them

# What is told.
TOLD_LETTERS = 2_000  # of one message, after which its middle is left out: a screen holds about as much
ROW_LETTERS = 60  # of a row of a file, shown in a message: enough to find it by
VALUE_LETTERS = 60  # of a value, likewise
NAMES_TOLD = 20  # of the names that there are, in a message about one that is not
ALIKE_TOLD = 10  # findings of one kind in a file of rows or packets; the others are counted
FINDINGS_TOLD = 200  # of one refusal or one command: a builder mends the first and asks again

# What is shown before it is saved.
DIFFERENCE_LINES = (
    2000  # of a file that come or go: difflib takes up to a second for so many, hours for thousands
)
DIFFERENCE_LETTERS = 400  # of one line; a line of a prop file has some dozens

# The server of the page, and the one for phones, each with these for itself.
REQUEST_S = 20.0  # for a browser to send its request; on one machine it takes milliseconds, over radio tenths
ANSWER_S = 60.0  # without a byte taken, until an answer is given up: a browser that hangs holds a connection
CONNECTIONS = 256  # at a time; a browser opens six to a server
BACKLOG = 128  # connections that wait to be taken; the usual default of systems
REQUEST_BYTES = 64 * 1024  # of a request's head; browsers send about one kB
SAVE_BYTES = 2 * FOLDER_BYTES  # of what the page sends to be saved: base64 takes four letters for three bytes
