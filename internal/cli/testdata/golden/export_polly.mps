* Exported by bittersum export.
* Row target_energy_min is "target energy min".
* Row target_protein_min is "target protein min".
* Row target_calcium_min is "target calcium min".
NAME          Polly_s_diet  FREE
ROWS
 N objective
 G target_energy_min
 G target_protein_min
 G target_calcium_min
COLUMNS
    oatmeal objective 3
    oatmeal target_energy_min 110
    oatmeal target_protein_min 4
    oatmeal target_calcium_min 2
    chicken objective 24
    chicken target_energy_min 205
    chicken target_protein_min 32
    chicken target_calcium_min 12
    eggs objective 13
    eggs target_energy_min 160
    eggs target_protein_min 13
    eggs target_calcium_min 54
    milk objective 9
    milk target_energy_min 160
    milk target_protein_min 8
    milk target_calcium_min 285
    cherry-pie objective 20
    cherry-pie target_energy_min 420
    cherry-pie target_protein_min 4
    cherry-pie target_calcium_min 22
    pork-with-beans objective 19
    pork-with-beans target_energy_min 260
    pork-with-beans target_protein_min 14
    pork-with-beans target_calcium_min 80
RHS
    RHS target_energy_min 2000
    RHS target_protein_min 55
    RHS target_calcium_min 800
BOUNDS
 UP BOUND oatmeal 4
 UP BOUND chicken 3
 UP BOUND eggs 2
 UP BOUND milk 8
 UP BOUND cherry-pie 2
 UP BOUND pork-with-beans 2
ENDATA
