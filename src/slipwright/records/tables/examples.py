"""A small example of every table, for its page; together they are one garden, and they load."""

from __future__ import annotations

#: What each table is for, in one sentence.
PURPOSES = {
    "garden": "The garden itself: where it lies decides day length and frost, its time zone what *today* is.",
    "members": "Who records. Entries carry the short id as `by`.",
    "taxa": "The plants by name, and what is known of each: its leaves, its bloom, the rights on it.",
    "places": "Where cuttings and stock plants stand, in the order they are walked past.",
    "containers": "Pots and trays.",
    "media": "What cuttings are stuck into.",
    "wants": "How many plants of what, ready as what, by when, and how surely.",
    "trials": "Comparisons, written down before they begin.",
    "plants": "The stock plants: the ones wood is taken from.",
    "methods": "Ways of making cuttings that are used again and again.",
    "hours": "How many hours a week there are for this work, by stretch of the year; what overlaps adds up.",
    "costs": "What things cost.",
    "batches": "Cuttings of one taxon, stuck on one day in one way.",
    "looks": "One batch looked at, and what was seen.",
    "pottings": "Rooted cuttings moved into pots of their own.",
    "outcomes": "What became of the plants later, and where they went.",
    "acts": "What was done to a batch, at a place, or to a stock plant.",
    "stages": "How far a stock plant had come, by the BBCH scale: 60 first flowers, 65 full, 69 over.",
    "firmness": "How firm a shoot felt in the hand, from tip to base.",
    "beds": "What was seen of a mist bed.",
    "readings": "What an instrument read.",
    "notes": "Words about any row or entry, named by its key or id.",
    "photos": "Pictures of any row or entry. The pictures themselves lie in the folder `photos`.",
    "withdrawals": "Takes an entry back. A correction is a withdrawal and a new entry.",
    "weather": "A day's weather, observed or forecast.",
}

#: What a reader of a table trips over, in a sentence or two.
CAUTIONS = {
    "taxa": "A plant under a breeder's right may not be multiplied without a licence, even to give away; "
    "which rights hold is for the plant's label and local law to say. What was done in the past "
    "loads, with a warning.",
    "methods": "What a hormone product is for, its strength and what to wear with it are on the product's "
    "label, which goes before anything written here.",
    "looks": "`n_rooted`, `n_lost`, `n_removed` and `n_lost_rooted` are *new since the look before*. "
    "`n_waiting` is what stands now, and only checks the sum. An empty count means *not counted*; "
    "0 means *counted, and none*. A look without any count is complete: looked only. Counts that "
    "do not add up load, and the batch is flagged.",
    "batches": "The code cannot be used again, not even when the batch is withdrawn: what refers to it goes "
    "by it.",
    "photos": "A picture is a JPEG called by the SHA-256 of its bytes. One that is missing or damaged is "
    "warned of, and its row loads all the same; one that no row names is left out, with a warning.",
    "withdrawals": "A batch is taken back by its id, not by its code, and only when all that refers to it is "
    "taken back too. A withdrawal is not taken back.",
    "weather": "A day stands once as observed (`made_on` empty), and once for each day a forecast of it was "
    "made.",
}

EXAMPLES = {
    "garden": """
garden,name,latitude_deg,longitude_deg,altitude_m,time_zone,round_days,units,currency
7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3,Saltmarsh Lane Community Garden,41.1,-72.4,4,\
America/New_York,7,metric,USD
""",
    "members": """
member,role,shown_as
wren,owner,Wren
ike,volunteer,Ike (Saturdays)
""",
    "taxa": """
taxon,common_name,leaf_habit,flowers,rights,rights_until,patience_days,note
Rosa 'Lantern Keeper',climbing rose,deciduous,repeat,none,,112,by the gate since before us
Lavandula × intermedia 'Sea Fret',lavandin,evergreen,once,protected,2039-12-31,,the label forbids propagation
""",
    "places": """
place,kind,room_m2,cover,medium_temp_c,shade_percent,mist_mm_per_min,walk_order
Bench 1,bench,2.4,mist,20,50,1.2,1
Cold frame,frame,1.8,open,,30,,2
""",
    "containers": """
container,volume_ml,cells,length_mm,width_mm,height_mm,cost_item
Trade gallon,2700,,,165,165,pot
""",
    "media": """
medium,parts,porosity,air_space,container_capacity,height_mm,tested_on
Half and half,perlite:1;vermiculite:1,0.75,0.22,0.53,150,2024-08-30
""",
    "wants": """
want,taxon,n_wanted,ready_by,ready_as,assurance,value_each,note
Roses for the fence,Rosa 'Lantern Keeper',20,2025-10-01,established,0.8,6,
""",
    "trials": """
trial,question,arms,units_per_arm,n_per_unit,stop_rule
Dip or none,Does a quick dip help the autumn roses?,dip;none,6,8,all pots looked at for 16 weeks
""",
    "plants": """
plant,taxon,place,planted_on,origin,shoots_per_season,shoot_length_mm,nodes_per_shoot,max_share_taken
Gate rose,Rosa 'Lantern Keeper',,2009-11-14,a cutting from the old fence,30,900,20,0.3
""",
    "methods": """
method,wood,cutting,leaves,wound,auxin,auxin_form,auxin_mg_per_l,dip_s,container,n_per_container,medium,cover
"Rose, autumn",semi-hardwood,piece,reduced,no,iba,quick-dip,1000,5,Trade gallon,8,Half and half,mist
""",
    "hours": """
from_on,to_on,hours_per_week
2024-09-01,2024-11-30,6
""",
    "costs": """
item,unit,cost
pot,each,0.35
""",
    "batches": """
batch,taxon,plant,stuck_on,n_stuck,wood,method,shoot,part,n_nodes,length_mm,leaves,container,\
place,cover,by,note
K7M2QX4G,Rosa 'Lantern Keeper',Gate rose,2024-10-20,16,semi-hardwood,"Rose, autumn",spent,middle,3,110,\
reduced,Trade gallon,Bench 1,mist,wren,two pots
""",
    "looks": """
batch,on,n_rooted,n_lost,n_waiting,cause,signs,pot_weight,by,note,id
K7M2QX4G,2024-10-27,,,,,,same,ike,,first-look
K7M2QX4G,2024-11-12,0,1,15,rot-from-base,callus,same,wren,"the one at the rim, wet",
K7M2QX4G,2024-12-01,9,0,6,,new-leaf;roots-at-holes,lighter,wren,,
""",
    "pottings": """
batch,on,n_potted,container,medium,place,by
K7M2QX4G,2024-12-05,9,Trade gallon,Half and half,Cold frame,wren
""",
    "outcomes": """
batch,on,ready_as,n_reached,n_lost,fate,to,by
K7M2QX4G,2025-10-02,established,7,1,planted,the long fence,wren
""",
    "acts": """
on,batch,place,plant,act,amount,unit,to_place,by,note
2024-11-20,K7M2QX4G,,,move,,,Cold frame,ike,off the mist
2025-05-30,,,Gate rose,deadhead,,,,ike,
""",
    "stages": """
plant,on,bbch,by,note
Gate rose,2025-05-28,60,ike,first flowers
""",
    "firmness": """
plant,on,firmness_tip,firmness_mid,firmness_base,by
Gate rose,2024-10-18,2,3,5,wren
""",
    "beds": """
place,at,seen,by
Bench 1,2024-10-24T14:10:00-04:00,leaves-dry,ike
""",
    "readings": """
place,at,air_c,rh_percent,medium_c,light_w_m2,source
Bench 1,2024-10-24T14:00:00-04:00,17.5,88,20.1,210,logger on the bench
""",
    "notes": """
about,at,text,by
K7M2QX4G,2024-12-01T10:20:00-05:00,"new leaves on all, roots on nine: leaves are not roots",wren
""",
    "photos": """
about,at,file,file_sha256,by
K7M2QX4G,2024-12-01T10:21:00-05:00,\
8f1d0c3be2a94d7760b5c1e8f3a2d49b6c7e05f1a8b3d2c4e6f70911a2b3c4d5.jpg,\
8f1d0c3be2a94d7760b5c1e8f3a2d49b6c7e05f1a8b3d2c4e6f70911a2b3c4d5,wren
""",
    "withdrawals": """
withdraws,at,by,reason
first-look,2024-10-28T08:00:00-04:00,wren,the other pot was meant
""",
    "weather": """
on,tmin_c,tmax_c,rh_mean_percent,sunshine_h,rain_mm,source,made_on
2024-10-24,7.2,16.1,81,5.4,0,our own screen,
2024-10-26,6,15,,,2.5,forecast,2024-10-24
""",
}
