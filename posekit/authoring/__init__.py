"""What a builder does to a prop: each function takes a prop, or what an importer gave, and gives a new prop.

A prop keeps its comments and order, and an edit is undone by putting text and files back. Nothing here opens a file.

data_sheet   figures as data sheets have them, in the units of the prop file
servo_types  servos to begin with
numbers      numbers as short as they can be written
parts        a part by its name, and the prop with another text
new_drive    a drive as it begins, with a servo type of the prop or one made of a data sheet
add          servos, links, shapes, joints, drives, linkages, pairs that are not judged
references   where names stand, in the prop file and in the shows beside it
rename       another name for a part or a file, everywhere
remove       what goes with a part, and the prop without it
contents     all that is stated in the frame of a link
world        joints placed in the world, links hung on others, shapes moved between links
lost_units   figures that a joint leaves behind as it becomes another kind
zero         another zero of a joint
starter      the smallest prop that moves, to begin with
mesh_kept    what a prop keeps of a mesh that is brought in: thinner, with convex pieces
prop_text    a prop file as a person would write it
new          a prop out of what an importer gave
typed_sizes  lengths that can be had, as they are typed
searching    where a search for linkages is, and which wish is in the way
surface      which surface a mesh has about a point of it: plane, cylinder, cone, sphere or none of these
hinge        where an axis is, read off the parts themselves
"""
